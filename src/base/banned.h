/* banned -- functions that have caused trouble elsewhere become errors. */
#ifndef BASE_BANNED_H
#define BASE_BANNED_H

#include <locale.h>
#include <stdlib.h>
#include <time.h>

#pragma GCC poison strcpy strcat sprintf vsprintf strtok localtime gmtime
#pragma GCC poison setlocale qsort strncpy gets

#endif
