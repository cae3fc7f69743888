/* Every call that takes numbers: its value against the closed form, then each pointer null and each number NaN in turn. */
#include "check.h"

static struct swept_cylinder c = {0.086, 0.092, 0.148, 0.0};
static struct swept_clearance_volume v = {40e-6, 6e-6, 1.5e-6, -2e-6, 0.5e-6};

#define CYLINDER(call)                                                                     \
    do {                                                                                   \
        NOT_A_NUMBER(c.bore_m, call);                                                      \
        NOT_A_NUMBER(c.stroke_m, call);                                                    \
        NOT_A_NUMBER(c.rod_length_m, call);                                                \
        NOT_A_NUMBER(c.pin_offset_m, call);                                                \
    } while (0)
#define OF_CYLINDER(f, expected)                                                           \
    do {                                                                                   \
        GIVES(f(&c, &out), expected);                                                      \
        REFUSES(f(NULL, &out), SWEPT_NULL_POINTER);                                        \
        REFUSES(f(&c, NULL), SWEPT_NULL_POINTER);                                          \
        CYLINDER(f(&c, &out));                                                             \
    } while (0)
#define OF_CYLINDER_1(f, a, expected)                                                      \
    do {                                                                                   \
        double x[1] = {a};                                                                 \
        GIVES(f(&c, x[0], &out), expected);                                                \
        REFUSES(f(NULL, x[0], &out), SWEPT_NULL_POINTER);                                  \
        REFUSES(f(&c, x[0], NULL), SWEPT_NULL_POINTER);                                    \
        CYLINDER(f(&c, x[0], &out));                                                       \
        NUMBERS_1(f(&c, x[0], &out));                                                      \
    } while (0)
#define OF_CYLINDER_2(f, a, b, expected)                                                   \
    do {                                                                                   \
        double x[2] = {a, b};                                                              \
        GIVES(f(&c, x[0], x[1], &out), expected);                                          \
        REFUSES(f(NULL, x[0], x[1], &out), SWEPT_NULL_POINTER);                            \
        REFUSES(f(&c, x[0], x[1], NULL), SWEPT_NULL_POINTER);                              \
        CYLINDER(f(&c, x[0], x[1], &out));                                                 \
        NUMBERS_2(f(&c, x[0], x[1], &out));                                                \
    } while (0)
#define OF_VOLUMES_2(f, a, b, expected)                                                    \
    do {                                                                                   \
        double x[2] = {a, b};                                                              \
        GIVES(f(&v, x[0], x[1], &out), expected);                                          \
        REFUSES(f(NULL, x[0], x[1], &out), SWEPT_NULL_POINTER);                            \
        REFUSES(f(&v, x[0], x[1], NULL), SWEPT_NULL_POINTER);                              \
        NOT_A_NUMBER(v.chamber_m3, f(&v, x[0], x[1], &out));                               \
        NOT_A_NUMBER(v.crevice_m3, f(&v, x[0], x[1], &out));                               \
        NUMBERS_2(f(&v, x[0], x[1], &out));                                                \
    } while (0)

static void cylinder(void) {
    double r = 0.046, l = 0.148, w = 600.0, area = PI / 4.0 * 0.086 * 0.086;
    told(swept_cylinder_check(&c) == SWEPT_OK, "swept_cylinder_check", "a good cylinder");
    REFUSES(swept_cylinder_check(NULL), SWEPT_NULL_POINTER);
    CYLINDER(swept_cylinder_check(&c));
    OF_CYLINDER(swept_cylinder_area, area);
    OF_CYLINDER(swept_cylinder_travel, 0.092);
    OF_CYLINDER(swept_cylinder_swept_volume, area * 0.092);
    OF_CYLINDER(swept_cylinder_rod_ratio, 0.148 / 0.092);
    OF_CYLINDER(swept_cylinder_bore_stroke_ratio, 0.086 / 0.092);
    OF_CYLINDER(swept_cylinder_peak_rod_angle, asin(r / l));
    OF_CYLINDER(swept_cylinder_pin_height_at_tdc, l + r);
    OF_CYLINDER(swept_cylinder_pin_height_at_bdc, l - r);
    OF_CYLINDER(swept_cylinder_top_dead_centre, 0.0);
    OF_CYLINDER(swept_cylinder_bottom_dead_centre, PI);
    OF_CYLINDER_1(swept_cylinder_mean_piston_speed, w, 0.092 * w / PI);
    OF_CYLINDER_1(swept_cylinder_peak_acceleration, w, r * w * w * (1.0 + r / l));
    OF_CYLINDER_1(swept_cylinder_piston_position, PI / 2.0, l + r - sqrt(l * l - r * r));
    OF_CYLINDER_1(swept_cylinder_rod_angle, PI / 2.0, asin(r / l));
    OF_CYLINDER_2(swept_cylinder_piston_velocity, PI / 2.0, w, r * w);
    OF_CYLINDER_2(swept_cylinder_piston_acceleration, 0.0, w, r * w * w * (1.0 + r / l));
    OF_CYLINDER_2(swept_cylinder_volume, PI, 50e-6, 50e-6 + area * 0.092);
    OF_CYLINDER_2(swept_deck_clearance, 0.2285, 0.034, 0.2285 - (l + r) - 0.034);
    OF_CYLINDER_2(swept_deck_height_for, 0.034, 0.0005, l + r + 0.034 + 0.0005);
    OF_2(swept_piston_to_head, 0.0003, 0.001, 0.0013);
}

static void compression(void) {
    double area = PI / 4.0 * 0.086 * 0.086, volume = area * 0.092, rest = 46e-6 - 40e-6, needed = volume / 9.5;
    double gasket = PI / 4.0 * 0.087 * 0.087, x[3] = {10.5, 0.034, 0.087};
    OF_2(swept_disc_volume, 0.086, 0.001, area * 0.001);
    OF_3(swept_ring_land_crevice, 0.086, 0.0855, 0.006, PI / 4.0 * (0.086 * 0.086 - 0.0855 * 0.0855) * 0.006);
    OF_2(swept_compression_ratio, 450e-6, 50e-6, 10.0);
    OF_2(swept_clearance_volume_for, 10.0, 450e-6, 50e-6);
    OF_CYLINDER_2(swept_trapped_compression_ratio, 50e-6, 0.0, (volume + 50e-6) / 50e-6);
    GIVES(swept_clearance_volume_total(&v, &out), 46e-6);
    REFUSES(swept_clearance_volume_total(NULL, &out), SWEPT_NULL_POINTER);
    REFUSES(swept_clearance_volume_total(&v, NULL), SWEPT_NULL_POINTER);
    NOT_A_NUMBER(v.gasket_m3, swept_clearance_volume_total(&v, &out));
    NOT_A_NUMBER(v.deck_m3, swept_clearance_volume_total(&v, &out));
    NOT_A_NUMBER(v.crown_m3, swept_clearance_volume_total(&v, &out));
    OF_VOLUMES_2(swept_chamber_volume_for, 10.5, volume, needed - rest);
    OF_VOLUMES_2(swept_crown_volume_for, 10.5, volume, needed - 48e-6);
    GIVES(swept_gasket_thickness_for(&v, x[0], volume, x[2], &out), (needed - 40e-6) / gasket);
    REFUSES(swept_gasket_thickness_for(NULL, x[0], volume, x[2], &out), SWEPT_NULL_POINTER);
    REFUSES(swept_gasket_thickness_for(&v, x[0], volume, x[2], NULL), SWEPT_NULL_POINTER);
    NOT_A_NUMBER(x[0], swept_gasket_thickness_for(&v, x[0], volume, x[2], &out));
    NOT_A_NUMBER(volume, swept_gasket_thickness_for(&v, x[0], volume, x[2], &out));
    NOT_A_NUMBER(x[2], swept_gasket_thickness_for(&v, x[0], volume, x[2], &out));
    GIVES(swept_deck_height_for_ratio(&c, &v, x[0], x[1], &out), 0.194 + 0.034 + (needed - 44.5e-6) / area);
    REFUSES(swept_deck_height_for_ratio(NULL, &v, x[0], x[1], &out), SWEPT_NULL_POINTER);
    REFUSES(swept_deck_height_for_ratio(&c, NULL, x[0], x[1], &out), SWEPT_NULL_POINTER);
    REFUSES(swept_deck_height_for_ratio(&c, &v, x[0], x[1], NULL), SWEPT_NULL_POINTER);
    NUMBERS_2(swept_deck_height_for_ratio(&c, &v, x[0], x[1], &out));
}

static void walls(void) {
    struct swept_wall_reading w[2] = {{0.0, 0.006}, {1.5, 0.005}}, thinnest = {-7.0, -7.0};
    double ri = 0.043, ro = 0.049, p = 9e6, a = p * ri * ri / (ro * ro - ri * ri), x[2] = {0.086, 0.004};
    OF_2(swept_wall_between_bores, 0.098, 0.086, 0.012);
    OF_4(swept_wall_after_overbore, 0.006, 0.086, 0.087, 0.0002, 0.0053);
    OF_3(swept_wall_hoop_stress, 2.0 * ri, ro - ri, p, a * (1.0 + ro * ro / (ri * ri)));
    OF_5(swept_thick_cylinder_hoop_stress, ri, ro, p, 0.0, ro, 2.0 * a);
    OF_5(swept_thick_cylinder_radial_stress, ri, ro, p, 0.0, ri, -p);
    OF_4(swept_thick_cylinder_axial_stress, ri, ro, p, 0.0, a);
    told(swept_thinnest_wall(w, 2, &thinnest) == SWEPT_OK && thinnest.wall_m == 0.005 && thinnest.angle_rad == 1.5,
         "swept_thinnest_wall", "another reading");
    REFUSES(swept_thinnest_wall(NULL, 2, &thinnest), SWEPT_NULL_POINTER);
    REFUSES(swept_thinnest_wall(w, 2, NULL), SWEPT_NULL_POINTER);
    NOT_A_NUMBER(w[1].wall_m, swept_thinnest_wall(w, 2, &thinnest));
    GIVES(swept_bore_for_wall(w, 2, x[0], x[1], &out), 0.088);
    REFUSES(swept_bore_for_wall(NULL, 2, x[0], x[1], &out), SWEPT_NULL_POINTER);
    REFUSES(swept_bore_for_wall(w, 2, x[0], x[1], NULL), SWEPT_NULL_POINTER);
    NOT_A_NUMBER(w[0].angle_rad, swept_bore_for_wall(w, 2, x[0], x[1], &out));
    NUMBERS_2(swept_bore_for_wall(w, 2, x[0], x[1], &out));
}

static void clearances(void) {
    double widths[2] = {0.024, 0.024}, x[1] = {0.0484};
    OF_4(swept_bearing_clearance, 0.059, 0.002, 0.002, 0.05495, 0.00005);
    OF_2(swept_piston_to_wall, 0.086, 0.08596, 0.00004);
    OF_2(swept_side_clearance, 0.00123, 0.00119, 0.00004);
    OF_2(swept_end_float, 0.025, 0.0249, 0.0001);
    OF_3(swept_end_gap_in_bore, 0.0003, 0.086, 0.0861, 0.0003 + PI * 0.0001);
    GIVES(swept_rod_side_clearance(x[0], widths, 2, &out), 0.0004);
    REFUSES(swept_rod_side_clearance(x[0], NULL, 2, &out), SWEPT_NULL_POINTER);
    REFUSES(swept_rod_side_clearance(x[0], widths, (size_t)-1, &out), SWEPT_WRONG_LENGTH);
    REFUSES(swept_rod_side_clearance(x[0], widths, 2, NULL), SWEPT_NULL_POINTER);
    NOT_A_NUMBER(widths[1], swept_rod_side_clearance(x[0], widths, 2, &out));
    NUMBERS_1(swept_rod_side_clearance(x[0], widths, 2, &out));
    x[0] = 0.1;
    GIVES(swept_end_gap_rule(x[0], 1, 0, &out, &second), 0.0004);
    told(fabs(second - 0.00045) < 1e-12, "swept_end_gap_rule", "another greatest gap");
    REFUSES(swept_end_gap_rule(x[0], 0, 0, &out, &second), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_end_gap_rule(x[0], 1, 3, &out, &second), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_end_gap_rule(x[0], 2, 1, &out, &second), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_end_gap_rule(x[0], 1, 0, NULL, &second), SWEPT_NULL_POINTER);
    REFUSES(swept_end_gap_rule(x[0], 1, 0, &out, NULL), SWEPT_NULL_POINTER);
    NUMBERS_1(swept_end_gap_rule(x[0], 1, 0, &out, &second));
}

static void conformity(void) {
    double x[2] = {1.5, 0.1};
    int verdict = -7;
    OF_1(swept_guard_band, 0.1, 0.165);
    REFUSES(swept_guard_band(-0.1, &out), SWEPT_OUT_OF_RANGE);
    GIVES(swept_conformance_probability(x[0], x[1], nan_value, 1.5, &out), 0.5);
    REFUSES(swept_conformance_probability(x[0], x[1], 1.0, 2.0, NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_conformance_probability(x[0], x[1], 1.0, HUGE_VAL, &out), SWEPT_NOT_FINITE);
    REFUSES(swept_conformance_probability(x[0], x[1], 2.0, 1.0, &out), SWEPT_OUT_OF_RANGE);
    NUMBERS_2(swept_conformance_probability(x[0], x[1], 1.0, 2.0, &out));
    REFUSES(swept_verdict(x[0], x[1], 1.0, 2.0, NULL), SWEPT_NULL_POINTER);
    NUMBERS_2(swept_verdict(x[0], x[1], 1.0, 2.0, &verdict));
    told(verdict == -7, "swept_verdict", "written though refused");
    told(swept_verdict(x[0], x[1], 1.0, 2.0, &verdict) == SWEPT_OK && verdict == SWEPT_PASS, "swept_verdict", "no pass");
}

int main(void) {
    nan_value = strtod("nan", NULL);
    cylinder();
    compression();
    walls();
    clearances();
    conformity();
    if (failures) return 1;
    puts("C: every figure as its formula, every bad number and pointer refused");
    return 0;
}
