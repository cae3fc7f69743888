/* What the tests of the valve train share: refusals of calls that take and give structs. */
#ifndef VALVE_H
#define VALVE_H

#include "check.h"
#include <string.h>

#define DEG (3.14159265358979323846 / 180.0)
#define HUGE_COUNT ((size_t)-1)

static int close_to(double found, double expected, double tolerance) {
    return fabs(found - expected) <= tolerance * fabs(expected) + 1e-12;
}

/* The call, refused, leaves its result alone to the last bit. */
#define LEAVES(place, call, status)                                                        \
    do {                                                                                   \
        unsigned char left_alone[sizeof(place)];                                           \
        memset(left_alone, 0x5a, sizeof left_alone), memcpy(&(place), left_alone, sizeof left_alone); \
        told((call) == (status) && memcmp(&(place), left_alone, sizeof left_alone) == 0, #call, #status); \
    } while (0)
/* A refusal that writes nothing. */
#define NO(call, status) told((call) == (status), #call, #status)

/* Each number of a struct or array of doubles in turn NaN and infinite; then zero, below zero and huge, which the call may take but must survive. */
#define EACH_NUMBER(given, place, call)                                                    \
    do {                                                                                   \
        double *each_value = (double *)(void *)&(given);                                   \
        size_t each_at;                                                                    \
        for (each_at = 0; each_at < sizeof(given) / (sizeof(double)); each_at++) {         \
            double each_kept = each_value[each_at];                                        \
            each_value[each_at] = nan_value;                                               \
            LEAVES(place, call, SWEPT_NOT_FINITE);                                         \
            each_value[each_at] = -HUGE_VAL;                                               \
            LEAVES(place, call, SWEPT_NOT_FINITE);                                         \
            each_value[each_at] = 0.0;                                                     \
            told((call) < SWEPT_OTHER, #call, "zero");                                     \
            each_value[each_at] = -1.0;                                                    \
            told((call) < SWEPT_OTHER, #call, "below zero");                               \
            each_value[each_at] = 1e300;                                                   \
            told((call) < SWEPT_OTHER, #call, "huge");                                     \
            each_value[each_at] = each_kept;                                               \
        }                                                                                  \
    } while (0)
#define NULLS_1(f, given, place)                                                           \
    do {                                                                                   \
        LEAVES(place, f(NULL, &place), SWEPT_NULL_POINTER);                                \
        NO(f(&given, NULL), SWEPT_NULL_POINTER);                                           \
    } while (0)
#define NULLS_2(f, given, x, place)                                                        \
    do {                                                                                   \
        LEAVES(place, f(NULL, x, &place), SWEPT_NULL_POINTER);                             \
        NO(f(&given, x, NULL), SWEPT_NULL_POINTER);                                        \
    } while (0)
/* f(struct, out) and f(struct, number, out): pointers, and the numbers of the struct. */
#define HOSTILE(f, given, place)                                                           \
    do {                                                                                   \
        NULLS_1(f, given, place);                                                          \
        EACH_NUMBER(given, place, f(&given, &place));                                      \
    } while (0)
#define HOSTILE_1(f, given, x, place)                                                      \
    do {                                                                                   \
        double one_number[1] = {x};                                                        \
        NULLS_2(f, given, one_number[0], place);                                           \
        EACH_NUMBER(given, place, f(&given, one_number[0], &place));                       \
        EACH_NUMBER(one_number, place, f(&given, one_number[0], &place));                  \
    } while (0)

#endif
