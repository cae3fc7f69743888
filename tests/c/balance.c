/* Balance: masses, shaking forces, unbalance and trial weights against closed forms, then bad pointers, numbers, texts and counts. */
#include "check.h"
#include <string.h>

static int close_to(double found, double expected, double tolerance) {
    return fabs(found - expected) <= tolerance * fabs(expected) + 1e-12;
}

/* The same angle, whole turns apart or not. */
static int same_angle(double found, double expected, double tolerance) {
    return fabs(sin((found - expected) / 2.0)) <= tolerance;
}

static void masses(void) {
    double round[2] = {0.479, 0.481}, up[2] = {0.712, 0.708}, x[4] = {0.5, 0.4, 0.11, 0.03}, off[3] = {-7.0, -7.0, -7.0};
    double parts[3] = {0.402, 0.4005, 0.401};
    struct swept_rod_mass rod = {0.43, 0.17};
    told(swept_rod_mass_check(&rod, 0.6004, 0.0005) == SWEPT_OK, "swept_rod_mass_check", "a good rod");
    REFUSES(swept_rod_mass_check(&rod, 0.603, 0.0005), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_rod_mass_check(NULL, 0.6, 0.0005), SWEPT_NULL_POINTER);
    REFUSES(swept_rod_mass_check(&rod, nan_value, 0.0005), SWEPT_NOT_FINITE);
    REFUSES(swept_rod_mass_check(&rod, 0.6, HUGE_VAL), SWEPT_NOT_FINITE);
    REFUSES(swept_rod_mass_check(&rod, 0.6, -0.1), SWEPT_OUT_OF_RANGE);
    GIVES(swept_rod_reciprocating_mass(&rod, x[0], x[1], x[2], x[3], &out), 0.17 + 1.04);
    NUMBERS_4(swept_rod_reciprocating_mass(&rod, x[0], x[1], x[2], x[3], &out));
    REFUSES(swept_rod_reciprocating_mass(NULL, x[0], x[1], x[2], x[3], &out), SWEPT_NULL_POINTER);
    REFUSES(swept_rod_reciprocating_mass(&rod, x[0], x[1], x[2], x[3], NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_rod_reciprocating_mass(&rod, x[0], -1.0, x[2], x[3], &out), SWEPT_OUT_OF_RANGE);
    GIVES(swept_rod_rotating_mass(&rod, x[2], x[3], &out), 0.57);
    NOT_A_NUMBER(x[2], swept_rod_rotating_mass(&rod, x[2], x[3], &out));
    NOT_A_NUMBER(x[3], swept_rod_rotating_mass(&rod, x[2], x[3], &out));
    NOT_A_NUMBER(rod.big_end_kg, swept_rod_rotating_mass(&rod, x[2], x[3], &out));
    NOT_A_NUMBER(rod.small_end_kg, swept_rod_mass_check(&rod, 0.6, 0.1));
    REFUSES(swept_rod_rotating_mass(NULL, x[2], x[3], &out), SWEPT_NULL_POINTER);
    REFUSES(swept_rod_rotating_mass(&rod, x[2], x[3], NULL), SWEPT_NULL_POINTER);
    GIVES(swept_bob_weight(round, up, 2, x[0], &out), 0.96 + 0.71);
    NUMBERS_1(swept_bob_weight(round, up, 2, x[0], &out));
    NOT_A_NUMBER(round[1], swept_bob_weight(round, up, 2, x[0], &out));
    NOT_A_NUMBER(up[0], swept_bob_weight(round, up, 2, x[0], &out));
    REFUSES(swept_bob_weight(NULL, up, 2, x[0], &out), SWEPT_NULL_POINTER);
    REFUSES(swept_bob_weight(round, NULL, 2, x[0], &out), SWEPT_NULL_POINTER);
    REFUSES(swept_bob_weight(round, up, 2, x[0], NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_bob_weight(round, up, 0, x[0], &out), SWEPT_WRONG_LENGTH);
    REFUSES(swept_bob_weight(round, up, (size_t)-1, x[0], &out), SWEPT_WRONG_LENGTH);
    REFUSES(swept_bob_weight(round, up, 2, 1.1, &out), SWEPT_OUT_OF_RANGE);
    NOT_A_NUMBER(parts[2], swept_masses_to_lightest(parts, 3, 0.002, off));
    REFUSES(swept_masses_to_lightest(parts, 3, nan_value, off), SWEPT_NOT_FINITE);
    REFUSES(swept_masses_to_lightest(parts, 3, 0.001, off), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_masses_to_lightest(parts, 0, 0.002, off), SWEPT_WRONG_LENGTH);
    REFUSES(swept_masses_to_lightest(parts, (size_t)-1, 0.002, off), SWEPT_WRONG_LENGTH);
    REFUSES(swept_masses_to_lightest(NULL, 3, 0.002, off), SWEPT_NULL_POINTER);
    REFUSES(swept_masses_to_lightest(parts, 3, 0.002, NULL), SWEPT_NULL_POINTER);
    told(off[0] == -7.0 && off[2] == -7.0, "swept_masses_to_lightest", "written though refused");
    told(swept_masses_to_lightest(parts, 3, 0.002, off) == SWEPT_OK && close_to(off[0], 0.0015, 1e-9) && off[1] == 0.0 &&
             close_to(off[2], 0.0005, 1e-9), "swept_masses_to_lightest", "other figures");
}

static void shares(void) {
    struct swept_throw_piston vee[2] = {{PI / 6.0, 0.0, 0.6}, {-PI / 6.0, PI / 6.0, 0.6}};
    struct swept_counterweight_sector s = {0.03, 0.08, 2.1, 0.022, 7850.0};
    double x[1] = {0.5}, cubes = 0.08 * 0.08 * 0.08 - 0.03 * 0.03 * 0.03;
    GIVES(swept_best_share(vee, 2, &out), 0.25 * (1.0 + cos(PI / 6.0)));
    GIVES(swept_best_share_along(vee, 1, PI / 6.0, &out), 1.0);
    REFUSES(swept_best_share_along(vee, 2, nan_value, &out), SWEPT_NOT_FINITE);
    vee[1].pin_angle_rad = 0.0;
    GIVES_TWO(swept_residual_of_share(vee, 2, x[0], &out, &second), 0.0, 0.3);
    NUMBERS_1(swept_residual_of_share(vee, 2, x[0], &out, &second));
#define OF_PISTONS(CALL)                                                                   \
    do {                                                                                   \
        NOT_A_NUMBER(vee[1].bank_angle_rad, CALL(vee, 2, &out));                           \
        NOT_A_NUMBER(vee[0].pin_angle_rad, CALL(vee, 2, &out));                            \
        NOT_A_NUMBER(vee[1].reciprocating_kg, CALL(vee, 2, &out));                         \
        REFUSES(CALL(NULL, 2, &out), SWEPT_NULL_POINTER);                                  \
        REFUSES(CALL(vee, 2, NULL), SWEPT_NULL_POINTER);                                   \
        REFUSES(CALL(vee, 0, &out), SWEPT_WRONG_LENGTH);                                   \
        REFUSES(CALL(vee, (size_t)-1, &out), SWEPT_WRONG_LENGTH);                          \
        vee[0].reciprocating_kg = -0.6;                                                    \
        REFUSES(CALL(vee, 2, &out), SWEPT_OUT_OF_RANGE);                                   \
        vee[0].reciprocating_kg = 0.6;                                                     \
    } while (0)
#define ALONG(list, count, place) swept_best_share_along(list, count, 0.0, place)
#define FORWARD(list, count, place) swept_residual_of_share(list, count, 0.5, place, &second)
#define BACKWARD(list, count, place) swept_residual_of_share(list, count, 0.5, &second, place)
    OF_PISTONS(swept_best_share);
    OF_PISTONS(ALONG);
    OF_PISTONS(FORWARD);
    OF_PISTONS(BACKWARD);
    GIVES(swept_counterweight_sector_mass(&s, &out), 7850.0 * 0.022 * 1.05 * 0.0055);
    GIVES(swept_counterweight_sector_unbalance(&s, &out), 7850.0 * 0.022 * 2.0 / 3.0 * cubes * sin(1.05));
#define OF_SECTOR(call)                                                                    \
    do {                                                                                   \
        NOT_A_NUMBER(s.inner_radius_m, call(&s, &out));                                    \
        NOT_A_NUMBER(s.outer_radius_m, call(&s, &out));                                    \
        NOT_A_NUMBER(s.included_angle_rad, call(&s, &out));                                \
        NOT_A_NUMBER(s.thickness_m, call(&s, &out));                                       \
        NOT_A_NUMBER(s.density_kg_m3, call(&s, &out));                                     \
        REFUSES(call(NULL, &out), SWEPT_NULL_POINTER);                                     \
        REFUSES(call(&s, NULL), SWEPT_NULL_POINTER);                                       \
    } while (0)
    OF_SECTOR(swept_counterweight_sector_mass);
    OF_SECTOR(swept_counterweight_sector_unbalance);
    s.inner_radius_m = 0.09;
    REFUSES(swept_counterweight_sector_mass(&s, &out), SWEPT_OUT_OF_RANGE);
    s.inner_radius_m = 0.03, s.included_angle_rad = 7.0;
    REFUSES(swept_counterweight_sector_unbalance(&s, &out), SWEPT_OUT_OF_RANGE);
}

/* A cross-plane V8 of 90 deg: mass times radius of each cylinder 1 kg m, throws at 0, 90, 270 and 180 deg, 100 mm apart. */
static struct swept_shaking_cylinder v8[8];
static struct swept_rotating_mass shaft = {2.0, 0.3, 0.1, 1};
static struct swept_harmonic h;

static void cross_plane(void) {
    static const double throws[4] = {0.0, 90.0, 270.0, 180.0};
    int i;
    for (i = 0; i < 8; i++) {
        struct swept_shaking_cylinder c = {0.08, 0.08, 0.14, 0.0, 0.0, 0.0, 0.0, 25.0};
        c.bank_angle_rad = i % 2 ? -PI / 4.0 : PI / 4.0;
        c.throw_angle_rad = throws[i / 2] * PI / 180.0;
        c.position_m = 0.1 * (i / 2);
        v8[i] = c;
    }
}

#define SHAKES(call)                                                                       \
    do {                                                                                   \
        NOT_A_NUMBER(v8[7].bore_m, call(v8, 8, &shaft, 1));                                \
        NOT_A_NUMBER(v8[0].stroke_m, call(v8, 8, &shaft, 1));                              \
        NOT_A_NUMBER(v8[0].rod_length_m, call(v8, 8, &shaft, 1));                          \
        NOT_A_NUMBER(v8[0].pin_offset_m, call(v8, 8, &shaft, 1));                          \
        NOT_A_NUMBER(v8[1].bank_angle_rad, call(v8, 8, &shaft, 1));                        \
        NOT_A_NUMBER(v8[1].throw_angle_rad, call(v8, 8, &shaft, 1));                       \
        NOT_A_NUMBER(v8[1].position_m, call(v8, 8, &shaft, 1));                            \
        NOT_A_NUMBER(v8[1].reciprocating_kg, call(v8, 8, &shaft, 1));                      \
        NOT_A_NUMBER(shaft.unbalance_kg_m, call(v8, 8, &shaft, 1));                        \
        NOT_A_NUMBER(shaft.angle_rad, call(v8, 8, &shaft, 1));                             \
        NOT_A_NUMBER(shaft.position_m, call(v8, 8, &shaft, 1));                            \
        REFUSES(call(NULL, 8, &shaft, 1), SWEPT_NULL_POINTER);                             \
        REFUSES(call(v8, 8, NULL, 1), SWEPT_NULL_POINTER);                                 \
        REFUSES(call(NULL, 0, NULL, 0), SWEPT_WRONG_LENGTH);                               \
        REFUSES(call(v8, (size_t)-1, NULL, 0), SWEPT_WRONG_LENGTH);                        \
        REFUSES(call(NULL, 0, &shaft, (size_t)-1), SWEPT_WRONG_LENGTH);                    \
        shaft.turns = 0;                                                                   \
        REFUSES(call(v8, 8, &shaft, 1), SWEPT_OUT_OF_RANGE);                               \
        shaft.turns = -2147483647 - 1;                                                     \
        REFUSES(call(v8, 8, &shaft, 1), SWEPT_OUT_OF_RANGE);                               \
        shaft.turns = 1;                                                                   \
    } while (0)

static void orders(void) {
    double root = sqrt(10.0) * 0.1;
    h.greatest_amount = -7.0;
#define FORCE(c, n, m, k) swept_shaking_force(c, n, m, k, 1, &h)
#define MOMENT(c, n, m, k) swept_shaking_moment(c, n, m, k, 1, 0.0, &h)
    SHAKES(FORCE);
    SHAKES(MOMENT);
    REFUSES(swept_shaking_force(v8, 8, NULL, 0, 0, &h), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_shaking_force(v8, 8, NULL, 0, 7, &h), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_shaking_force(v8, 8, NULL, 0, 1, NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_shaking_moment(v8, 8, NULL, 0, (size_t)-1, 0.0, &h), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_shaking_moment(v8, 8, NULL, 0, 1, 0.0, NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_shaking_moment(v8, 8, NULL, 0, 1, nan_value, &h), SWEPT_NOT_FINITE);
    told(h.greatest_amount == -7.0, "swept_shaking_moment", "written though refused");
    told(swept_shaking_force(v8, 8, NULL, 0, 1, &h) == SWEPT_OK && h.greatest_amount < 1e-12, "a V8's force", "not balanced");
    told(swept_shaking_moment(v8, 8, NULL, 0, 1, 0.05, &h) == SWEPT_OK && close_to(h.forward_amount, root, 1e-9) &&
             h.backward_amount < 1e-12 && close_to(h.greatest_amount, root, 1e-9) && close_to(h.least_amount, root, 1e-9) &&
             h.greatest_direction_rad != h.greatest_direction_rad, "a V8's moment", "another figure");
    told(swept_shaking_force(NULL, 0, &shaft, 1, 1, &h) == SWEPT_OK && close_to(h.forward_amount, 2.0, 1e-12) &&
             same_angle(h.forward_angle_rad, 0.3, 1e-12) && h.backward_amount == 0.0, "a mass alone", "another figure");
    told(swept_shaking_force(v8, 1, NULL, 0, 1, &h) == SWEPT_OK && close_to(h.greatest_amount, 1.0, 1e-9) &&
             h.least_amount < 1e-9 && same_angle(2.0 * h.greatest_direction_rad, PI / 2.0, 1e-9), "one cylinder", "another figure");
    GIVES(swept_harmonic_along(&h, PI / 4.0, &out), 1.0);
    GIVES(swept_harmonic_along(&h, PI / 4.0 + PI / 3.0, &out), 0.5);
    NOT_A_NUMBER(h.forward_amount, swept_harmonic_along(&h, 0.0, &out));
    NOT_A_NUMBER(h.forward_angle_rad, swept_harmonic_along(&h, 0.0, &out));
    NOT_A_NUMBER(h.backward_amount, swept_harmonic_along(&h, 0.0, &out));
    NOT_A_NUMBER(h.backward_angle_rad, swept_harmonic_along(&h, 0.0, &out));
    REFUSES(swept_harmonic_along(&h, nan_value, &out), SWEPT_NOT_FINITE);
    REFUSES(swept_harmonic_along(NULL, 0.0, &out), SWEPT_NULL_POINTER);
    REFUSES(swept_harmonic_along(&h, 0.0, NULL), SWEPT_NULL_POINTER);
    OF_2(swept_shaking_force_of, 0.02, 300.0, 1800.0);
    OF_2(swept_shaking_moment_of, 0.003, 200.0, 120.0);
}

static void in_time(void) {
    double x[3] = {PI / 4.0, 300.0, 0.2}, force = 300.0 * 300.0 * (1.0 + 0.04 / 0.14), part = force * sqrt(0.5);
    double real[6], imaginary[6];
    struct swept_cylinder c = {0.08, 0.08, 0.14, 0.0};
    struct swept_rotating_mass pair[2] = {{-7.0, -7.0, -7.0, -7}, {-7.0, -7.0, -7.0, -7}};
    int i;
    GIVES_TWO(swept_shaking_force_at(v8, 1, NULL, 0, x[0], x[1], &out, &second), part, part);
    GIVES_TWO(swept_shaking_moment_at(v8, 1, NULL, 0, x[0], x[1], x[2], &out, &second), -0.2 * part, -0.2 * part);
    NUMBERS_2(swept_shaking_force_at(v8, 8, NULL, 0, x[0], x[1], &out, &second));
    NUMBERS_3(swept_shaking_moment_at(v8, 8, NULL, 0, x[0], x[1], x[2], &out, &second));
#define FORCE_AT(c, n, m, k) swept_shaking_force_at(c, n, m, k, x[0], x[1], &out, &second)
#define MOMENT_AT(c, n, m, k) swept_shaking_moment_at(c, n, m, k, x[0], x[1], x[2], &out, &second)
#define WEIGHTS(c, n, m, k) swept_shaking_counterweights(c, n, m, k, 0.0, 0.3, &pair[0], &pair[1])
    SHAKES(FORCE_AT);
    SHAKES(MOMENT_AT);
    SHAKES(WEIGHTS);
    REFUSES(swept_shaking_force_at(v8, 8, NULL, 0, x[0], 0.0, &out, &second), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_shaking_force_at(v8, 8, NULL, 0, x[0], x[1], NULL, &second), SWEPT_NULL_POINTER);
    REFUSES(swept_shaking_force_at(v8, 8, NULL, 0, x[0], x[1], &out, NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_shaking_force_at(v8, 8, NULL, 0, x[0], 1e200, &out, &second), SWEPT_NOT_FINITE);
    REFUSES(swept_shaking_moment_at(v8, 8, NULL, 0, x[0], x[1], x[2], NULL, &second), SWEPT_NULL_POINTER);
    REFUSES(swept_shaking_moment_at(v8, 8, NULL, 0, x[0], x[1], x[2], &out, NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_shaking_counterweights(v8, 8, NULL, 0, 0.1, 0.1, &pair[0], &pair[1]), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_shaking_counterweights(v8, 8, NULL, 0, nan_value, 0.1, &pair[0], &pair[1]), SWEPT_NOT_FINITE);
    REFUSES(swept_shaking_counterweights(v8, 8, NULL, 0, 0.1, HUGE_VAL, &pair[0], &pair[1]), SWEPT_NOT_FINITE);
    REFUSES(swept_shaking_counterweights(v8, 8, NULL, 0, 0.0, 0.3, NULL, &pair[1]), SWEPT_NULL_POINTER);
    REFUSES(swept_shaking_counterweights(v8, 8, NULL, 0, 0.0, 0.3, &pair[0], NULL), SWEPT_NULL_POINTER);
    told(pair[0].turns == -7 && pair[1].turns == -7, "swept_shaking_counterweights", "written though refused");
    told(WEIGHTS(v8, 8, NULL, 0) == SWEPT_OK && close_to(pair[0].unbalance_kg_m, sqrt(10.0) / 3.0, 1e-9) &&
             close_to(pair[1].unbalance_kg_m, sqrt(10.0) / 3.0, 1e-9) && pair[1].position_m == 0.3 && pair[1].turns == 1 &&
             same_angle(pair[0].angle_rad, pair[1].angle_rad + PI, 1e-9), "a V8's counterweights", "other weights");
    told(swept_shaking_moment(v8, 8, pair, 2, 1, 0.0, &h) == SWEPT_OK && h.greatest_amount < 1e-12, "a balanced V8", "moment left");
    told(swept_acceleration_harmonics(&c, real, imaginary) == SWEPT_OK && close_to(real[0], 1.0, 1e-9) &&
             close_to(real[1], 0.29178, 1e-5) && close_to(real[3], -0.006211, 1e-3), "swept_acceleration_harmonics", "other figures");
    for (i = 0; i < 6; i++) told(fabs(imaginary[i]) < 1e-12, "swept_acceleration_harmonics", "a phase without offset");
    NOT_A_NUMBER(c.stroke_m, swept_acceleration_harmonics(&c, real, imaginary));
    REFUSES(swept_acceleration_harmonics(NULL, real, imaginary), SWEPT_NULL_POINTER);
    REFUSES(swept_acceleration_harmonics(&c, NULL, imaginary), SWEPT_NULL_POINTER);
    REFUSES(swept_acceleration_harmonics(&c, real, NULL), SWEPT_NULL_POINTER);
}

static void planes(void) {
    struct swept_placed_unbalance u[2] = {{2e-3, -PI / 2.0, 0.1}, {2e-3, PI / 2.0, 0.5}}, a = {-7.0, -7.0, -7.0}, b = a;
    struct swept_placed_unbalance one = {3.0, 0.7, 0.25};
    struct swept_rotor_unbalance rotor = {-7.0, -7.0, -7.0, -7.0};
#define TO_PLANES(list, count, first, other) swept_unbalance_to_planes(list, count, first, other, &a, &b)
#define AGAINST(list, count, first, other) swept_correction_of_unbalance(list, count, first, other, &a, &b)
#define ROTOR(list, count, first, other) swept_rotor_unbalance_of(list, count, first, &rotor)
#define OF_VECTORS(call)                                                                   \
    do {                                                                                   \
        NOT_A_NUMBER(u[0].amount_kg_m, call(u, 2, 0.0, 1.0));                              \
        NOT_A_NUMBER(u[1].heavy_at_rad, call(u, 2, 0.0, 1.0));                             \
        NOT_A_NUMBER(u[1].position_m, call(u, 2, 0.0, 1.0));                               \
        REFUSES(call(u, 2, nan_value, 1.0), SWEPT_NOT_FINITE);                             \
        REFUSES(call(NULL, 2, 0.0, 1.0), SWEPT_NULL_POINTER);                              \
        REFUSES(call(u, 0, 0.0, 1.0), SWEPT_WRONG_LENGTH);                                 \
        REFUSES(call(u, (size_t)-1, 0.0, 1.0), SWEPT_WRONG_LENGTH);                        \
        u[0].amount_kg_m = -1.0;                                                           \
        REFUSES(call(u, 2, 0.0, 1.0), SWEPT_OUT_OF_RANGE);                                 \
        u[0].amount_kg_m = 2e-3;                                                           \
    } while (0)
    OF_VECTORS(TO_PLANES);
    OF_VECTORS(AGAINST);
    OF_VECTORS(ROTOR);
    REFUSES(TO_PLANES(u, 2, 0.3, 0.3), SWEPT_OUT_OF_RANGE);
    REFUSES(AGAINST(u, 2, 0.3, 0.3), SWEPT_OUT_OF_RANGE);
    REFUSES(AGAINST(u, 2, 0.3, HUGE_VAL), SWEPT_NOT_FINITE);
    REFUSES(swept_unbalance_to_planes(u, 2, 0.0, 1.0, NULL, &b), SWEPT_NULL_POINTER);
    REFUSES(swept_unbalance_to_planes(u, 2, 0.0, 1.0, &a, NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_correction_of_unbalance(u, 2, 0.0, 1.0, NULL, &b), SWEPT_NULL_POINTER);
    REFUSES(swept_correction_of_unbalance(u, 2, 0.0, 1.0, &a, NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_rotor_unbalance_of(u, 2, 0.0, NULL), SWEPT_NULL_POINTER);
    told(a.position_m == -7.0 && b.position_m == -7.0 && rotor.static_kg_m == -7.0, "planes", "written though refused");
    told(TO_PLANES(&one, 1, 0.0, 1.0) == SWEPT_OK && close_to(a.amount_kg_m, 2.25, 1e-12) && close_to(b.amount_kg_m, 0.75, 1e-12) &&
             same_angle(a.heavy_at_rad, 0.7, 1e-12) && b.position_m == 1.0, "swept_unbalance_to_planes", "other vectors");
    told(AGAINST(&one, 1, 0.0, 1.0) == SWEPT_OK && close_to(a.amount_kg_m, 2.25, 1e-12) && same_angle(b.heavy_at_rad, 0.7 + PI, 1e-12),
         "swept_correction_of_unbalance", "other weights");
    told(ROTOR(u, 2, 0.2, 0.0) == SWEPT_OK && rotor.static_kg_m < 1e-17 && close_to(rotor.couple_kg_m2, 8e-4, 1e-12) &&
             same_angle(rotor.couple_heavy_at_rad, PI / 2.0, 1e-12), "swept_rotor_unbalance_of", "other parts");
}

static void grades(void) {
    double x[6] = {30.0, 100.0 * PI, 0.2, 0.3, 0.0, 0.5};
    int32_t limited = -7;
    GIVES(swept_permissible_eccentricity("G 6.3", x[1], &out), 0.0063 / (100.0 * PI));
    GIVES(swept_permissible_unbalance("6.3", x[0], x[1], &out), 30.0 * 0.0063 / (100.0 * PI));
    NUMBERS_2(swept_permissible_unbalance("G 6.3", x[0], x[1], &out));
    NOT_A_NUMBER(x[1], swept_permissible_eccentricity("G 6.3", x[1], &out));
    REFUSES(swept_permissible_eccentricity("G 6.4", x[1], &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_permissible_eccentricity("", x[1], &out), SWEPT_UNREADABLE);
    REFUSES(swept_permissible_eccentricity("G nan", x[1], &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_permissible_eccentricity("\xff", x[1], &out), SWEPT_NOT_UTF8);
    REFUSES(swept_permissible_eccentricity(NULL, x[1], &out), SWEPT_NULL_POINTER);
    REFUSES(swept_permissible_eccentricity("G 1", x[1], NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_permissible_unbalance("cheese", x[0], x[1], &out), SWEPT_UNREADABLE);
    REFUSES(swept_permissible_unbalance(NULL, x[0], x[1], &out), SWEPT_NULL_POINTER);
    REFUSES(swept_permissible_unbalance("G 1", x[0], x[1], NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_permissible_unbalance("G 1", 0.0, x[1], &out), SWEPT_OUT_OF_RANGE);
    OF_3(swept_grade_met_by, 0.0005, 30.0, 100.0 * PI, 0.0063);
    REFUSES(swept_grade_met_by(1e3, x[0], x[1], &out), SWEPT_OUT_OF_RANGE);
#define SHARED() swept_allocate_to_bearings(x[0], x[2], x[3], &out, &second, &limited)
    GIVES_TWO(SHARED(), 18.0, 12.0);
    told(limited == 0, "swept_allocate_to_bearings", "limited");
    limited = -7;
    NOT_A_NUMBER(x[0], SHARED());
    NOT_A_NUMBER(x[2], SHARED());
    NOT_A_NUMBER(x[3], SHARED());
    REFUSES(swept_allocate_to_bearings(x[0], -0.1, x[3], &out, &second, &limited), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_allocate_to_bearings(x[0], 0.0, 0.0, &out, &second, &limited), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_allocate_to_bearings(x[0], x[2], x[3], NULL, &second, &limited), SWEPT_NULL_POINTER);
    REFUSES(swept_allocate_to_bearings(x[0], x[2], x[3], &out, NULL, &limited), SWEPT_NULL_POINTER);
    REFUSES(swept_allocate_to_bearings(x[0], x[2], x[3], &out, &second, NULL), SWEPT_NULL_POINTER);
    told(limited == -7, "swept_allocate_to_bearings", "written though refused");
    GIVES_TWO(swept_allocate_to_bearings(x[0], 0.01, 0.99, &out, &second, &limited), 21.0, 9.0);
    told(limited == 1, "swept_allocate_to_bearings", "not limited");
#define TO(first, other) swept_allocate_to_planes(x[0], x[1], x[4], x[5], x[2], x[3], first, other)
    /* Planes where the bearings are keep the bearings' allowances. */
    GIVES_TWO(swept_allocate_to_planes(x[0], x[1], x[4], x[5], x[4], x[5], &out, &second), 30.0, 100.0 * PI);
    NUMBERS_5(TO(&out, &second));
    NOT_A_NUMBER(x[5], TO(&out, &second));
    REFUSES(TO(NULL, &second), SWEPT_NULL_POINTER);
    REFUSES(TO(&out, NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_allocate_to_planes(x[0], x[1], 0.1, 0.1, x[2], x[3], &out, &second), SWEPT_OUT_OF_RANGE);
}

int main(void) {
    nan_value = strtod("nan", NULL);
    cross_plane();
    masses();
    shares();
    orders();
    in_time();
    planes();
    grades();
    if (failures) return 1;
    puts("C: masses, shaking forces and unbalance as their formulas, every bad number, text, count and pointer refused");
    return 0;
}
