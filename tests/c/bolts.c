/* Threads and bolted joints: values against closed forms, then bad pointers, numbers, texts and counts. */
#include "check.h"
#include <string.h>

static struct swept_thread m10 = {0.010, 0.00125, 0}, inch = {0.0111125, 0.00127, 1};

#define THREAD(call)                                                                       \
    do {                                                                                   \
        NOT_A_NUMBER(m10.diameter_m, call);                                                \
        NOT_A_NUMBER(m10.pitch_m, call);                                                   \
        m10.unified = 2;                                                                   \
        REFUSES(call, SWEPT_OUT_OF_RANGE);                                                 \
        m10.unified = 0;                                                                   \
    } while (0)
#define OF_THREAD(f, expected)                                                             \
    do {                                                                                   \
        GIVES(f(&m10, &out), expected);                                                    \
        REFUSES(f(NULL, &out), SWEPT_NULL_POINTER);                                        \
        REFUSES(f(&m10, NULL), SWEPT_NULL_POINTER);                                        \
        THREAD(f(&m10, &out));                                                             \
    } while (0)
#define OF_THREAD_4(f, a, b, c, d, expected)                                               \
    do {                                                                                   \
        double x[4] = {a, b, c, d};                                                        \
        GIVES(f(&m10, x[0], x[1], x[2], x[3], &out), expected);                            \
        REFUSES(f(NULL, x[0], x[1], x[2], x[3], &out), SWEPT_NULL_POINTER);                \
        REFUSES(f(&m10, x[0], x[1], x[2], x[3], NULL), SWEPT_NULL_POINTER);                \
        THREAD(f(&m10, x[0], x[1], x[2], x[3], &out));                                     \
        NUMBERS_4(f(&m10, x[0], x[1], x[2], x[3], &out));                                  \
        REFUSES(f(&m10, 0.0, x[1], x[2], x[3], &out), SWEPT_OUT_OF_RANGE);                 \
        REFUSES(f(&m10, x[0], -0.1, x[2], x[3], &out), SWEPT_OUT_OF_RANGE);                \
        REFUSES(f(&m10, x[0], 100.0, x[2], x[3], &out), SWEPT_OUT_OF_RANGE);               \
        REFUSES(f(&m10, x[0], x[1], x[2], 0.0, &out), SWEPT_OUT_OF_RANGE);                 \
    } while (0)

static void texts(void) {
    struct swept_thread found = {-7.0, -7.0, -7};
    REFUSES(swept_thread_parse(NULL, &found), SWEPT_NULL_POINTER);
    REFUSES(swept_thread_parse("M10", NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_thread_parse("\xff", &found), SWEPT_NOT_UTF8);
    REFUSES(swept_thread_parse("", &found), SWEPT_UNREADABLE);
    REFUSES(swept_thread_parse("cheese", &found), SWEPT_UNREADABLE);
    REFUSES(swept_thread_parse("M11", &found), SWEPT_UNREADABLE);
    REFUSES(swept_thread_parse("M10x6", &found), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_thread_parse("1/0-20", &found), SWEPT_NOT_FINITE);
    REFUSES(swept_thread_parse("Mnanx1", &found), SWEPT_NOT_FINITE);
    told(found.diameter_m == -7.0 && found.unified == -7, "swept_thread_parse", "written though refused");
    told(swept_thread_parse("M10x1.25", &found) == SWEPT_OK && found.diameter_m == 0.010 && found.pitch_m == 0.00125 &&
             found.unified == 0, "M10x1.25", "another thread");
    told(swept_thread_parse("M10", &found) == SWEPT_OK && found.pitch_m == 0.0015, "M10", "another thread");
    told(swept_thread_parse("7/16-20", &found) == SWEPT_OK && near(found.diameter_m, 0.0111125) &&
             near(found.pitch_m, 0.00127) && found.unified == 1, "7/16-20", "another thread");
    GIVES(swept_proof_stress("10.9", 0.012, &out), 830e6);
    GIVES(swept_proof_stress("8.8", 0.016, &out), 580e6);
    GIVES(swept_proof_stress("8.8", 0.018, &out), 600e6);
    REFUSES(swept_proof_stress("11", 0.012, &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_proof_stress("", 0.012, &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_proof_stress("\xff", 0.012, &out), SWEPT_NOT_UTF8);
    REFUSES(swept_proof_stress(NULL, 0.012, &out), SWEPT_NULL_POINTER);
    REFUSES(swept_proof_stress("10.9", 0.012, NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_proof_stress("10.9", nan_value, &out), SWEPT_NOT_FINITE);
    REFUSES(swept_proof_stress("10.9", 0.0, &out), SWEPT_OUT_OF_RANGE);
}

static void threads(void) {
    double d2 = 0.010 - 0.75 * sqrt(3.0) / 2.0 * 0.00125, ds = 0.010 - 0.9382 * 0.00125, di = 0.0111125 - 0.9743 * 0.00127;
    double lead = 0.00125 / (PI * d2), f = 0.12 / cos(PI / 6.0), area = PI / 4.0 * ds * ds, x[1] = {830e6};
    double arm = d2 / 2.0 * (lead + f) / (1.0 - f * lead) + 0.14 * 0.013 / 2.0;
    OF_THREAD(swept_thread_stress_area, area);
    OF_THREAD(swept_thread_pitch_diameter, d2);
    GIVES(swept_thread_stress_area(&inch, &out), PI / 4.0 * di * di);
    inch.pitch_m = 0.006;
    REFUSES(swept_thread_stress_area(&inch, &out), SWEPT_OUT_OF_RANGE);
    GIVES(swept_thread_proof_load(&m10, x[0], &out), 830e6 * area);
    NUMBERS_1(swept_thread_proof_load(&m10, x[0], &out));
    THREAD(swept_thread_proof_load(&m10, x[0], &out));
    REFUSES(swept_thread_proof_load(&m10, 0.0, &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_thread_proof_load(NULL, x[0], &out), SWEPT_NULL_POINTER);
    REFUSES(swept_thread_proof_load(&m10, x[0], NULL), SWEPT_NULL_POINTER);
    OF_THREAD_4(swept_thread_torque_for, 30e3, 0.12, 0.14, 0.013, 30e3 * arm);
    OF_THREAD_4(swept_thread_preload_from_torque, 60.0, 0.12, 0.14, 0.013, 60.0 / arm);
}

#define SHANK(f)                                                                           \
    do {                                                                                   \
        REFUSES(f(NULL, areas, 2, x[1], &out), SWEPT_NULL_POINTER);                        \
        REFUSES(f(lengths, NULL, 2, x[1], &out), SWEPT_NULL_POINTER);                      \
        REFUSES(f(lengths, areas, 2, x[1], NULL), SWEPT_NULL_POINTER);                     \
        REFUSES(f(NULL, NULL, 0, x[1], &out), SWEPT_WRONG_LENGTH);                         \
        REFUSES(f(lengths, areas, (size_t)-1, x[1], &out), SWEPT_WRONG_LENGTH);            \
        REFUSES(f(lengths, areas, 2, 0.0, &out), SWEPT_OUT_OF_RANGE);                      \
        NOT_A_NUMBER(lengths[1], f(lengths, areas, 2, x[1], &out));                        \
        NOT_A_NUMBER(areas[0], f(lengths, areas, 2, x[1], &out));                          \
        NUMBERS_2(f(lengths, areas, 2, x[1], &out));                                       \
    } while (0)
#define STIFFNESS(l, a, n, e, to) swept_shank_stiffness(l, a, n, x[0] * (e), to)
#define STRETCH(l, a, n, e, to) swept_stretch_for(x[0], l, a, n, e, to)
#define PRELOAD(l, a, n, e, to) swept_preload_from_stretch(x[0], l, a, n, e, to)

static void shanks(void) {
    double lengths[2] = {0.05, 0.03}, areas[2] = {78.5e-6, 61.2e-6}, x[2] = {1.0, 207e9};
    double k = 207e9 / (0.05 / 78.5e-6 + 0.03 / 61.2e-6);
    GIVES(swept_shank_stiffness(lengths, areas, 2, 207e9, &out), k);
    SHANK(STIFFNESS);
    x[0] = 40e3;
    GIVES(swept_stretch_for(x[0], lengths, areas, 2, x[1], &out), 40e3 / k);
    SHANK(STRETCH);
    x[0] = 1e-4;
    GIVES(swept_preload_from_stretch(x[0], lengths, areas, 2, x[1], &out), 1e-4 * k);
    SHANK(PRELOAD);
    areas[1] = 0.0;
    REFUSES(swept_shank_stiffness(lengths, areas, 2, x[1], &out), SWEPT_OUT_OF_RANGE);
}

static void turns(void) {
    double x[4] = {PI / 2.0, 0.00125, 2e8, 8e8}, t = tan(PI / 6.0), grip = 0.05, d = 0.01;
    OF_3(swept_turn_for, 1e-4, 2e-5, 0.00125, 2.0 * PI * 1.2e-4 / 0.00125);
    REFUSES(swept_turn_for(-1e-4, 0.0, 0.00125, &out), SWEPT_OUT_OF_RANGE);
    GIVES(swept_preload_from_turn(x[0], x[1], x[2], x[3], &out), 0.25 * 0.00125 / (1.0 / 2e8 + 1.0 / 8e8));
    NUMBERS_3(swept_preload_from_turn(x[0], x[1], x[2], x[3], &out));
    GIVES(swept_preload_from_turn(x[0], x[1], x[2], HUGE_VAL, &out), 0.25 * 0.00125 * 2e8);
    REFUSES(swept_preload_from_turn(x[0], x[1], x[2], nan_value, &out), SWEPT_NOT_FINITE);
    REFUSES(swept_preload_from_turn(x[0], x[1], x[2], -HUGE_VAL, &out), SWEPT_NOT_FINITE);
    REFUSES(swept_preload_from_turn(x[0], x[1], x[2], 0.0, &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_preload_from_turn(x[0], x[1], x[2], x[3], NULL), SWEPT_NULL_POINTER);
    OF_3(swept_parts_stiffness, grip, d, 207e9,
         t * PI * 207e9 * d / (2.0 * log(5.0 * (t * grip + 0.5 * d) / (t * grip + 2.5 * d))));
    REFUSES(swept_parts_stiffness(0.0, d, 207e9, &out), SWEPT_OUT_OF_RANGE);
}

static struct swept_bolted_joint j = {20e3, 1e8, 3e8};

#define JOINT(call)                                                                        \
    do {                                                                                   \
        NOT_A_NUMBER(j.preload_n, call);                                                   \
        NOT_A_NUMBER(j.bolt_stiffness_n_per_m, call);                                      \
        NOT_A_NUMBER(j.parts_stiffness_n_per_m, call);                                     \
    } while (0)
#define OF_JOINT(f, expected)                                                              \
    do {                                                                                   \
        GIVES(f(&j, &out), expected);                                                      \
        REFUSES(f(NULL, &out), SWEPT_NULL_POINTER);                                        \
        REFUSES(f(&j, NULL), SWEPT_NULL_POINTER);                                          \
        JOINT(f(&j, &out));                                                                \
    } while (0)
#define OF_JOINT_1(f, a, expected)                                                         \
    do {                                                                                   \
        double x[1] = {a};                                                                 \
        GIVES(f(&j, x[0], &out), expected);                                                \
        REFUSES(f(NULL, x[0], &out), SWEPT_NULL_POINTER);                                  \
        REFUSES(f(&j, x[0], NULL), SWEPT_NULL_POINTER);                                    \
        JOINT(f(&j, x[0], &out));                                                          \
        NUMBERS_1(f(&j, x[0], &out));                                                      \
    } while (0)

static void joints(void) {
    double x[2] = {40e3, PI / 6.0};
    OF_JOINT(swept_bolted_joint_load_share, 0.25);
    OF_JOINT(swept_bolted_joint_separation_load, 20e3 / 0.75);
    OF_JOINT_1(swept_bolted_joint_bolt_load, 10e3, 22.5e3);
    OF_JOINT_1(swept_bolted_joint_bolt_load, 30e3, 30e3);
    OF_JOINT_1(swept_bolted_joint_clamp_load, 10e3, 12.5e3);
    OF_JOINT_1(swept_bolted_joint_clamp_load, 30e3, 0.0);
    j.preload_n = 0.0;
    REFUSES(swept_bolted_joint_load_share(&j, &out), SWEPT_OUT_OF_RANGE);
    GIVES_TWO(swept_angled_clamp(x[0], x[1], &out, &second), 40e3 * sqrt(0.75), 20e3);
    NUMBERS_2(swept_angled_clamp(x[0], x[1], &out, &second));
    REFUSES(swept_angled_clamp(x[0], PI / 2.0, &out, &second), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_angled_clamp(x[0], x[1], NULL, &second), SWEPT_NULL_POINTER);
    REFUSES(swept_angled_clamp(x[0], x[1], &out, NULL), SWEPT_NULL_POINTER);
}

int main(void) {
    nan_value = strtod("nan", NULL);
    texts();
    threads();
    shanks();
    turns();
    joints();
    if (failures) return 1;
    puts("C: threads and bolted joints as their formulas, every bad number, text, count and pointer refused");
    return 0;
}
