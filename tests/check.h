/** Comparisons for the tests: cmocka's own have no double form, and failures must show numbers. */
#ifndef FL_TESTS_CHECK_H
#define FL_TESTS_CHECK_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "fairlead.h"

/** Fails unless |got - wanted| <= tolerance, an absolute one; what names the case. */
#define check_near(wanted, got, tolerance, ...)                                                    \
    check_near_at((wanted), (got), (tolerance), __FILE__, __LINE__, __VA_ARGS__)

/** Fails unless got is within a relative tolerance of wanted. */
#define check_close(wanted, got, relative, ...)                                                    \
    check_near_at((wanted), (got), (relative)*fabs(wanted), __FILE__, __LINE__, __VA_ARGS__)

/** Fails, with the error's place and message, unless the call gives FL_OK. */
#define check_ok(call, error) check_ok_at((call), &(error), #call, __FILE__, __LINE__)

__attribute__((format(printf, 6, 7), unused)) static void check_near_at(double wanted, double got,
                                                                        double tolerance,
                                                                        const char *file, int line,
                                                                        const char *what, ...)
{
    char name[256];
    va_list arguments;
    va_start(arguments, what);
    vsnprintf(name, sizeof name, what, arguments);
    va_end(arguments);
    if (!(fabs(got - wanted) <= tolerance)) {
        print_error("%s: wanted %.17g, got %.17g, off by %.3g, allowed %.3g\n", name, wanted, got,
                    got - wanted, tolerance);
        _fail(file, line);
    }
}

__attribute__((unused)) static void check_ok_at(fl_status status, const fl_error *error,
                                                const char *call, const char *file, int line)
{
    if (status != FL_OK) {
        print_error("%s: status %d, %s: %s\n", call, (int)status, error->place, error->message);
        _fail(file, line);
    }
}

#endif
