/* What the tests of figures share: a call gives the figure of its closed form, or refuses and leaves its outputs alone. */
#ifndef CHECK_H
#define CHECK_H

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <swept.h>

static int failures = 0;
static const double PI = 3.14159265358979323846;
static double out, second, nan_value;

static void told(int as_it_should, const char *call, const char *what) {
    if (as_it_should) return;
    fprintf(stderr, "%s: %s (%s; out %.17g, %.17g)\n", call, what, swept_last_error_message(), out, second);
    failures++;
}

static int near(double found, double expected) {
    return fabs(found - expected) <= 1e-9 * fabs(expected) + 1e-15;
}

/* The call gives the figure; refused, it leaves its outputs alone. */
#define GIVES(call, expected) told((call) == SWEPT_OK && near(out, expected), #call, "another figure")
#define GIVES_TWO(call, first, other)                                                      \
    told((call) == SWEPT_OK && near(out, first) && near(second, other), #call, "other figures")
#define REFUSES(call, status)                                                              \
    (out = second = -7.0, told((call) == (status) && out == -7.0 && second == -7.0, #call, #status))
#define NOT_A_NUMBER(place, call)                                                          \
    do {                                                                                   \
        double kept = (place);                                                             \
        (place) = nan_value;                                                               \
        REFUSES(call, SWEPT_NOT_FINITE);                                                   \
        (place) = HUGE_VAL;                                                                \
        REFUSES(call, SWEPT_NOT_FINITE);                                                   \
        (place) = kept;                                                                    \
    } while (0)

#define NUMBERS_1(call) NOT_A_NUMBER(x[0], call)
#define NUMBERS_2(call) do { NUMBERS_1(call); NOT_A_NUMBER(x[1], call); } while (0)
#define NUMBERS_3(call) do { NUMBERS_2(call); NOT_A_NUMBER(x[2], call); } while (0)
#define NUMBERS_4(call) do { NUMBERS_3(call); NOT_A_NUMBER(x[3], call); } while (0)
#define NUMBERS_5(call) do { NUMBERS_4(call); NOT_A_NUMBER(x[4], call); } while (0)

#define OF_1(f, a, expected)                                                               \
    do {                                                                                   \
        double x[1] = {a};                                                                 \
        GIVES(f(x[0], &out), expected);                                                    \
        REFUSES(f(x[0], NULL), SWEPT_NULL_POINTER);                                        \
        NUMBERS_1(f(x[0], &out));                                                          \
    } while (0)
#define OF_2(f, a, b, expected)                                                            \
    do {                                                                                   \
        double x[2] = {a, b};                                                              \
        GIVES(f(x[0], x[1], &out), expected);                                              \
        REFUSES(f(x[0], x[1], NULL), SWEPT_NULL_POINTER);                                  \
        NUMBERS_2(f(x[0], x[1], &out));                                                    \
    } while (0)
#define OF_3(f, a, b, d, expected)                                                         \
    do {                                                                                   \
        double x[3] = {a, b, d};                                                           \
        GIVES(f(x[0], x[1], x[2], &out), expected);                                        \
        REFUSES(f(x[0], x[1], x[2], NULL), SWEPT_NULL_POINTER);                            \
        NUMBERS_3(f(x[0], x[1], x[2], &out));                                              \
    } while (0)
#define OF_4(f, a, b, d, e, expected)                                                      \
    do {                                                                                   \
        double x[4] = {a, b, d, e};                                                        \
        GIVES(f(x[0], x[1], x[2], x[3], &out), expected);                                  \
        REFUSES(f(x[0], x[1], x[2], x[3], NULL), SWEPT_NULL_POINTER);                      \
        NUMBERS_4(f(x[0], x[1], x[2], x[3], &out));                                        \
    } while (0)
#define OF_5(f, a, b, d, e, g, expected)                                                   \
    do {                                                                                   \
        double x[5] = {a, b, d, e, g};                                                     \
        GIVES(f(x[0], x[1], x[2], x[3], x[4], &out), expected);                            \
        REFUSES(f(x[0], x[1], x[2], x[3], x[4], NULL), SWEPT_NULL_POINTER);                \
        NUMBERS_5(f(x[0], x[1], x[2], x[3], x[4], &out));                                  \
    } while (0)

#endif
