"""schema.py: holds docs/design.schema.json against the reader; run it by
schema.sh.

  tables   every list of keys and every list of choices in the source carries
           a mark on the line where it begins, and is the same as the
           properties, the enum or the oneOf of the definition it names:
               // SCHEMA part          properties of $defs/part
               // SCHEMA design        properties of the whole
               // SCHEMA-ENUM way      enum of $defs/way
               // SCHEMA-ONE feature   what oneOf of $defs/feature requires
               // SCHEMA-REST feature  its properties but those
               // SCHEMA-SOME design   some of its properties
  words    every property has title, description and examples that fit, and
           stands in the crib of docs/design-language.md
  designs  all designs that are right validate, whole and in pieces
  wrong    designs in tests/wrong/ whose mistake a schema can see do not
  shared   docs/shared.schema.json has the keys that the reader takes from an
           included file, as the design has them; right files validate
  names    of variants: the schema's pattern and the reader agree
  probes   right designs, spoiled in one place each, are refused by both:
           each key misspelt; keys left out; values of another kind
"""
import copy
import glob
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
from urllib.parse import unquote

from jsonschema import Draft202012Validator

SCHEMA = "docs/design.schema.json"
SHARED = "docs/shared.schema.json"
ROD = os.environ["ROD"]
EVERY = sys.argv[1:] == ["all"]

# Wrong designs whose code a schema sees in general, but not there: why.
UNSEEN = {
}

# Messages about what a schema sees, too.
SEEN = {"unknown-key", "missing-key", "wrong-kind", "bad-choice",
        "bad-letter", "not-a-design"}

passed = failed = 0


def verdict(good, words):
    global passed, failed
    if good:
        passed += 1
    else:
        failed += 1
        print("FAILED: " + words)
    return good


def read(path):
    with open(path, encoding="utf-8") as f:
        return f.read()


# ---- JSON with comments

TOKEN = re.compile(r'"(?:[^"\\]|\\.)*"|//[^\n]*|/\*.*?\*/', re.S)


def uncomment(text):
    """The same text, its comments blank."""
    return TOKEN.sub(lambda m: m[0] if m[0][0] == '"'
                     else re.sub(r"[^\n]", " ", m[0]), text)


def parse(text):
    return json.loads(uncomment(text))


# ---- The schema

SCHEMA_TEXT = read(SCHEMA)
root = json.loads(SCHEMA_TEXT)
defs = root["$defs"]
validator = Draft202012Validator(root)


def definition(name):
    return root if name == "design" else defs.get(name)


def pointed(schema):
    """The name of the definition that a schema is a $ref to, or None."""
    ref = schema.get("$ref", "") if isinstance(schema, dict) else ""
    return unquote(ref[len("#/$defs/"):]) if ref else None


def first_error(instance, v=validator):
    """Where and why the schema refuses it, or None."""
    best = None
    for e in v.iter_errors(instance):
        if best is None or len(e.absolute_path) > len(best.absolute_path):
            best = e
    if best is None:
        return None
    return "/".join(str(p) for p in best.absolute_path) + ": " \
        + best.message[:160]


def objects():
    """Each definition of an object with fixed keys."""
    return {n: d for n, d in [("design", root)] + list(defs.items())
            if "properties" in d}


def subschemas(schema, where):
    """All schemas within one, with their places."""
    if not isinstance(schema, dict):
        return
    yield where, schema
    for word in ("properties", "$defs"):
        for k, s in schema.get(word, {}).items():
            yield from subschemas(s, where + "/" + k)
    for word in ("items", "additionalProperties", "propertyNames", "if",
                 "then", "else", "not"):
        yield from subschemas(schema.get(word), where + "/" + word)
    for word in ("prefixItems", "allOf", "anyOf", "oneOf"):
        for i, s in enumerate(schema.get(word, [])):
            yield from subschemas(s, f"{where}/{word}/{i}")


def fitting(schema, name):
    """A validator for one schema that may point to $defs."""
    return Draft202012Validator({"$schema": root["$schema"], "$defs": defs,
                                 "allOf": [schema]})


def crib():
    """Every key stands in the last table of the page on the language."""
    page = "docs/design-language.md"
    listed = set()
    for quoted in re.findall(r"`([^`]*)`", read(page).split("\n```\n")[-1]):
        listed |= {a or b for a, b in re.findall(r'"([^"]*)"|(\S+)', quoted)}
    for name, d in objects().items():
        for key in d["properties"]:
            verdict(key in listed, f"{page}: the crib has no '{key}' "
                    f"(of a '{name}')")


def words():
    used = set()
    for where, s in subschemas(root, SCHEMA):
        name = pointed(s)
        if name is not None:
            used.add(name)
            verdict(name in defs, f"{where}: there is no $def '{name}'")
        if "enum" in s:
            verdict(s in list(defs.values()), f"{where}: an enum must be a "
                    "$def of its own, so that the reader's table can name it")
        if "properties" in s and "type" in s:
            verdict(s.get("additionalProperties") is False,
                    f"{where}: must have additionalProperties false")
    for name in defs:
        verdict(name in used, f"$def '{name}' is used nowhere")
    for name, d in objects().items():
        for key, prop in d["properties"].items():
            lacks = [w for w in ("title", "description", "examples")
                     if not prop.get(w)]
            verdict(not lacks, f"'{key}' of $def '{name}' has no "
                    + ", ".join(lacks))
            check = fitting(prop, name)
            for example in prop.get("examples", []):
                why = first_error(example, check)
                verdict(why is None, f"'{key}' of $def '{name}': its "
                        f"example {json.dumps(example)} is refused: {why}")
    for name, d in defs.items():
        for example in d.get("examples", []):
            why = first_error(example, fitting(d, name))
            verdict(why is None, f"$def '{name}': its example "
                    f"{json.dumps(example)} is refused: {why}")


# ---- The reader's tables

# A list of words, or of rows that begin with one.
TABLE = re.compile(r"const (?:char \*const|\w+Word) (\w+)\[\] = \{(.*?)\};",
                   re.S)
ROW = re.compile(r'\{\s*"([^"]*)"')
MARK = re.compile(r"SCHEMA(-ENUM|-ONE|-REST|-SOME)? ([a-z-]+)")
CALL = re.compile(r"\bnode_(check_keys|choice)\s*\(")
LITERAL = re.compile(r'"((?:[^"\\]|\\.)*)"')


class Table:
    def __init__(self, path, text, m):
        line = text[m.start():text.find("\n", m.start())]
        mark = MARK.search(line)
        body = re.sub(r"//[^\n]*|/\*.*?\*/", "", m[2], flags=re.S)
        self.name = m[1]
        self.at = m.start()
        self.words = ROW.findall(body) or LITERAL.findall(body)
        self.where = f"{path}:{text.count(chr(10), 0, m.start()) + 1}"
        self.kind = mark and (mark[1] or "")
        self.of = mark and mark[2]


def arguments(text, at):
    """What stands between the brackets of a call, split at its commas."""
    out, depth, begin = [], 0, at
    for i in range(at, len(text)):
        ch = text[i]
        if ch in "([{":
            depth += 1
        elif ch in ")]}" and depth:
            depth -= 1
        elif ch == ")":
            return out + [text[begin:i]]
        elif ch == "," and not depth:
            out.append(text[begin:i])
            begin = i + 1
    return out


def differences(table, what, known, due):
    """One verdict for each word that stands in one of the two only."""
    for w in table.words:
        if w not in known:
            verdict(False, f"{table.where}: '{w}' is in {table.name}, but "
                    f"not in {what}: add it to {SCHEMA}")
    for w in known:
        if w not in table.words:
            verdict(False, f"{SCHEMA}: '{w}' is in {what}, but not in "
                    f"{table.name} ({table.where})")
    verdict(set(table.words) == set(known) and table.words, due)


def compare(table):
    d = definition(table.of)
    if d is None:
        verdict(False, f"{table.where}: {table.name} is marked "
                f"'{table.of}', but {SCHEMA} has no such $def")
        return
    due = f"{table.where}: {table.name} and $def '{table.of}' disagree"
    one = [k for s in d.get("oneOf", []) for k in s["required"]]
    if table.kind == "-SOME":
        for w in table.words:
            verdict(w in d["properties"], f"{table.where}: '{w}' is in "
                    f"{table.name}, but no property of '{table.of}'")
    elif table.kind == "-REST":
        differences(table, f"the properties of $def '{table.of}'",
                    [k for k in d["properties"] if k not in one], due)
    elif table.kind == "-ENUM":
        differences(table, f"the enum of $def '{table.of}'",
                    d.get("enum", []), due)
    elif table.kind == "-ONE":
        differences(table, f"oneOf of $def '{table.of}'", one, due)
    else:
        differences(table, f"the properties of $def '{table.of}'",
                    d.get("properties", {}), due)


def unmarked(path, text, tables):
    """A table that is handed to the reader's checks needs its mark, and so
    does what is called keys in the folders that read a design."""
    for t in tables:
        if t.name.endswith("keys") and re.match("src/(eval|model)/", path):
            verdict(t.kind == "", f"{t.where}: mark the line of {t.name} "
                    "'// SCHEMA NAME'")
    for call in CALL.finditer(text):
        args = arguments(text, call.end())
        if len(args) < 4:
            continue
        handed = args[2] if call[1] == "check_keys" else args[3]
        for name in re.findall(r"\w+", handed):
            near = [t for t in tables if t.name == name
                    and t.at < call.start()]
            if not near:
                continue
            t = near[-1]
            due = "" if call[1] == "check_keys" else "-ENUM"
            verdict(t.kind == due or (due, t.kind) == ("", "-SOME"),
                    f"{t.where}: {name} is handed to "
                    f"node_{call[1]}: mark its line '// SCHEMA{due} NAME'")


def tables():
    found = {"": set(), "-ENUM": set(), "-ONE": set(), "-REST": set(),
             "-SOME": set()}
    for path in sorted(glob.glob("src/*/*.c")):
        text = read(path)
        here = [Table(path, text, m) for m in TABLE.finditer(text)]
        marked = [t for t in here if t.kind is not None]
        for t in marked:
            compare(t)
            found[t.kind].add(t.of)
        verdict(len(marked) == len(MARK.findall(text)),
                f"{path}: a SCHEMA mark does not stand on the line where "
                "a table begins: NAME[] = {   // SCHEMA part")
        unmarked(path, text, here)
    for name in objects():
        whole = found[""] | (found["-ONE"] & found["-REST"])
        verdict(name in whole, f"{SCHEMA}: no table of keys in src/ is "
                f"marked '// SCHEMA {name}'")
    for name, d in defs.items():
        if "enum" in d:
            verdict(name in found["-ENUM"], f"{SCHEMA}: no table of "
                    f"choices in src/ is marked '// SCHEMA-ENUM {name}'")
        if "oneOf" in d:
            verdict(name in found["-ONE"], f"{SCHEMA}: no table in src/ "
                    f"is marked '// SCHEMA-ONE {name}'")


# ---- Designs

def fragments(path):
    """The JSON examples of a page."""
    text = read(path)
    for m in re.finditer(r"^```jsonc?\n(.*?)^```", text, re.M | re.S):
        yield f"{path}:{text.count(chr(10), 0, m.start()) + 1}", m[1]


def designs():
    """Right designs by name: those of the folders, then those of the
    pages; pieces of designs on the pages are checked at once."""
    out = {}
    for pattern in ("templates/*.json", "tests/schema/*.json",
                    "tests/golden/*/design.json", "plans-demo/*/*.json"):
        for path in sorted(glob.glob(pattern)):
            out[path] = parse(read(path))
    for page in ["README.md"] + sorted(glob.glob("docs/*.md")):
        for where, text in fragments(page):
            try_fragment(out, where, text)
    for name, design in out.items():
        why = first_error(design)
        verdict(why is None, f"{name} is refused by the schema: {why}")
    return out


def try_fragment(out, where, text):
    text = uncomment(text).strip().rstrip(",")
    loose = dict(root)
    del loose["required"]
    for whole in (text, "{" + text + "}", "[" + text + "]"):
        try:
            value = json.loads(whole)
            break
        except ValueError:
            value = None
    if isinstance(value, dict) and "parts" in value and "rodbook" in value:
        out[where] = value
    elif isinstance(value, dict) and set(value) & set(root["properties"]):
        why = first_error(value, Draft202012Validator(loose))
        verdict(why is None, f"{where} is refused by the schema: {why}")
    elif value is not None:
        for name in ("feature", "corner", "part", "piece", "step"):
            one = value if isinstance(value, list) else [value]
            if all(isinstance(v, dict) and set(v)
                   <= set(defs[name]["properties"]) for v in one):
                break
        else:
            verdict(not where.startswith("docs/design-l"),
                    f"{where} is no JSON that this test knows")
            return
        for v in one:
            for key in v:
                why = first_error(v[key], Draft202012Validator(
                    {"$defs": defs,
                     "allOf": [defs[name]["properties"][key]]}))
                verdict(why is None,
                        f"{where} is refused by the schema: {why}")
    else:
        verdict(value is not None and not where.startswith("docs/design-l"),
                f"{where} is no JSON that this test knows")


def wrong():
    for path in sorted(glob.glob("tests/wrong/*.json")):
        name = os.path.basename(path)[:-len(".json")]
        expect = read(path[:-len(".json")] + ".expect")
        codes = set(re.findall(r" \[([a-z0-9-]+)\]$", expect, re.M))
        try:
            design = parse(read(path))
        except ValueError:   # broken JSON is not for a schema
            continue
        why = first_error(design)
        if name in UNSEEN:
            verdict(why is None, f"{path}: listed as unseen, but the schema "
                    f"refuses it: {why}")
        elif codes & SEEN:
            verdict(why is not None, f"{path}: {' '.join(codes & SEEN)}, "
                    "but the schema accepts it: mend it, or list it with a "
                    "reason under UNSEEN of schema.py")
        elif "exit 0" in expect:
            verdict(why is None, f"{path}: only a warning, but the schema "
                    f"refuses it: {why}")


# ---- Probes

def walk(schema, value, path, out):
    """Notes in `out` the definition of each object within a value."""
    name = pointed(schema)
    if name is not None:
        if "properties" in defs[name] and isinstance(value, dict):
            out.setdefault(name, []).append(path)
        walk(defs[name], value, path, out)
    for word in ("allOf", "anyOf", "oneOf"):
        for s in schema.get(word, []):
            if not any(True for _ in fitting(s, "").iter_errors(value)):
                walk(s, value, path, out)
    if isinstance(value, dict):
        for k, v in value.items():
            s = schema.get("properties", {}).get(
                k, schema.get("additionalProperties"))
            if isinstance(s, dict):
                walk(s, v, path + [k], out)
    if isinstance(value, list):
        first = schema.get("prefixItems", [])
        for i, v in enumerate(value):
            s = first[i] if i < len(first) else schema.get("items")
            if isinstance(s, dict):
                walk(s, v, path + [i], out)


def places(found):
    """For each definition the objects of it: (design, path), those of the
    shortest designs first, and none of long ones, which take long."""
    out = {"design": []}
    long = {n: len(json.dumps(found[n])) for n in found}
    for name in sorted(found, key=long.get):
        if long[name] > 10000:
            continue
        here = {}
        walk(root, found[name], [], here)
        out["design"].append((found[name], []))
        for d, paths in here.items():
            out.setdefault(d, []).extend((found[name], p) for p in paths)
    return out


def reach(design, path):
    for step in path:
        design = design[step]
    return design


def spoil(design, path, change):
    """A copy in which `change` has its way with the object at the path."""
    copied = copy.deepcopy(design)
    items = list(reach(copied, path).items())
    target = reach(copied, path)
    target.clear()
    target.update(change(items))
    return copied


def ask_reader(design, folder):
    """Exit status and codes of `rodbook check`."""
    path = os.path.join(folder, "design.json")
    with open(path, "w", encoding="utf-8") as f:
        json.dump(design, f)
    run = subprocess.run([ROD, "check", path], stdout=subprocess.DEVNULL,
                         stderr=subprocess.PIPE)
    text = run.stderr.decode("utf-8", "replace")
    return run.returncode, text, \
        set(re.findall(r" \[([a-z0-9-]+)\]$", text, re.M))


def misspelt(key, known):
    """Two letters changed over, or one doubled."""
    for i in range(len(key) - 1, 0, -1):
        other = key[:i - 1] + key[i] + key[i - 1] + key[i + 1:]
        if other not in known and other != key:
            return other
    return key + key[-1]


def spell(where, folder):
    turn = 0
    for name, d in objects().items():
        known = list(d["properties"])
        if not verdict(where.get(name), f"no design has a '{name}', so its "
                       "keys cannot be probed: put one into "
                       "tests/schema/every.json"):
            continue
        turn += 1
        for i, key in enumerate(known):
            if not EVERY and (i + turn) % 8:   # one or two of each
                continue
            bad = misspelt(key, known)
            design, path = next(((x, p) for x, p in where[name]
                                 if key in reach(x, p)), where[name][0])
            if key not in reach(design, path):
                print(f"note: no design has '{key}' in a '{name}': put it "
                      "into tests/schema/every.json to probe it fully")
            spoiled = spoil(design, path, lambda items: [
                (bad if k == key else k, v) for k, v in items]
                + ([] if key in reach(design, path) else [(bad, "x")]))
            status, text, codes = ask_reader(spoiled, folder)
            verdict(status == 1 and (f'"{bad}" is no key' in text
                                     or key == "rodbook"),
                    f"the reader lets '{bad}' (for '{key}') pass in "
                    f"a '{name}'")
            verdict(first_error(spoiled) is not None, f"the schema lets "
                    f"'{bad}' (for '{key}') pass in a '{name}'")


# Where the schema refuses what the reader lets pass: why.
STRICTER = {
}


def agree(spoiled, what, key, folder):
    status, text, codes = ask_reader(spoiled, folder)
    why = first_error(spoiled)
    if codes & SEEN:
        verdict(why is not None, f"{what}: the reader says "
                f"{' '.join(sorted(codes & SEEN))}, the schema accepts it")
    elif why is not None and key not in STRICTER:
        verdict(status == 1, f"{what}: the schema refuses it ({why}), the "
                "reader accepts it")
    else:
        verdict(True, what)


KINDS = [None, True, -7.5, "no such word", [], {}]


def probes(where, folder):
    turn = 0
    for name, d in objects().items():
        design, path = max(where.get(name, [(None, [])]),
                           key=lambda at: len(reach(*at) or []))
        if design is None or name == "design":
            continue
        bare = spoil(design, path, lambda items: [
            (k, v) for k, v in items if k in d.get("required", [])])
        agree(bare, f"'{name}' with nothing that is not required",
              (name, ""), folder)
    for name, d in objects().items():
        for key in d["properties"]:
            at = [(x, p) for x, p in where.get(name, []) if key in reach(x, p)]
            if not at or key == "rodbook":
                continue
            design, path = at[0]
            left = spoil(design, path, lambda items: [
                (k, v) for k, v in items if k != key])
            if EVERY or key in d.get("required", []):
                agree(left, f"'{name}' without '{key}'", (name, key), folder)
            turn += 1
            if not EVERY and turn % 5:
                continue
            for value in KINDS if EVERY else [KINDS[turn // 5 % len(KINDS)]]:
                other = spoil(design, path, lambda items: [
                    (k, value if k == key else v) for k, v in items])
                agree(other, f"'{key}' of '{name}' as {json.dumps(value)}",
                      (name, key), folder)


# ---- Files that are included

def shared_validator():
    """Of included files: its keys point into the schema of designs."""
    schema = json.loads(read(SHARED))
    Draft202012Validator.check_schema(schema)
    for key, s in schema["properties"].items():
        verdict(s == {"$ref": os.path.basename(SCHEMA) + "#/properties/"
                      + key} and key in root["properties"],
                f"{SHARED}: '{key}' must be that of {SCHEMA}")
    schema["properties"] = {k: root["properties"].get(k, False)
                            for k in schema["properties"]}
    return Draft202012Validator({**schema, "$defs": defs})


def shared(folder):
    v = shared_validator()
    known = list(v.schema["properties"])
    text = read("src/design/include.c")
    tables = [Table("src/design/include.c", text, m)
              for m in TABLE.finditer(text)]
    table = next(t for t in tables if t.kind == "-SOME")
    differences(table, f"the properties of {SHARED}", known,
                f"{table.where} and {SHARED} disagree")
    files = {p: parse(read(p)) for p in glob.glob("tests/schema/beside/*.json")}
    for where, text in fragments("docs/design-language.md"):
        if "my-shop.json: " in text:
            files[where] = parse(text)
    verdict(len(files) > 1, "no included file to try")
    for name, file in files.items():
        why = first_error(file, v)
        verdict(why is None, f"{name} is refused by {SHARED}: {why}")
    small = next(parse(read(p)) for p in glob.glob("tests/schema/every.json"))
    for key in list(root["properties"]) + [misspelt(k, known) for k in known]:
        file = {"rodbook": 1, key: root["properties"].get(
            key, {"examples": ["x"]})["examples"][0]}
        if key == "include":
            continue
        with open(folder + "/part.json", "w", encoding="utf-8") as f:
            json.dump(file, f)
        _, text, codes = ask_reader({**small, "include": "part.json"}, folder)
        verdict((first_error(file, v) is None)
                == ("is no key of an included file" not in text),
                f"the reader and {SHARED} disagree on the key '{key}'")


def variant_names(folder):
    """In a pattern $ is the end of the text, not of a line."""
    pattern = re.compile(root["properties"]["variants"]["propertyNames"]
                         ["pattern"].replace("$", r"\Z"))
    small = next(parse(read(p)) for p in glob.glob("tests/schema/every.json"))
    for name in ["", "a", "Z", "9", "-", "_", " ", " a", "a ", "a b", "a  b",
                 "a" * 40, "a" * 41, "a" + " " * 38 + "b", "\u00e9", "a/b",
                 "a.b", "a\n", "a\tb", "..", "tall-2_x y"]:
        _, text, codes = ask_reader({**small, "variants": {name: {}}}, folder)
        verdict(("cannot be the name of a variant" in text)
                == (pattern.search(name) is None),
                f"the reader and the schema disagree on a variant called "
                f"{json.dumps(name)}")


def main():
    Draft202012Validator.check_schema(root)
    tables()
    words()
    crib()
    found = designs()
    wrong()
    where = places(found)
    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree("tests/schema/beside", folder + "/beside")
        for name in glob.glob("tests/schema/*.json"):
            status, text, codes = ask_reader(found[name], folder)
            verdict(status == 0 and not text, f"{name}: the reader has "
                    f"something to say: {text}")
        shared(folder)
        variant_names(folder)
        spell(where, folder)
        probes(where, folder)
    print(f"schema: {passed} passed, {failed} failed")
    sys.exit(1 if failed or not passed else 0)


main()
