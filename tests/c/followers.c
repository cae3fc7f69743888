/* Flat and roller followers: values against closed forms and the textbook's formulas, then bad pointers and numbers. */
#include "lobe.h"

static struct swept_lift_curve *curve;
static struct swept_extreme e;

/* An eccentric circle of 20 mm, 4 mm off its centre: it touches a flat face at (20 sin t, 4 + 20 cos t) mm. */
static struct swept_lift circle(double t) {
    struct swept_lift l;
    l.lift_m = 0.004 * (1.0 + cos(t)), l.velocity_m_per_rad = -0.004 * sin(t);
    l.acceleration_m_per_rad2 = -0.004 * cos(t), l.jerk_m_per_rad3 = 0.004 * sin(t);
    return l;
}

static void flat_contact(void) {
    struct swept_flat_contact c;
    struct swept_lift l = circle(0.7);
    double n[2] = {0.016, 0.7};
#define FLAT_AT(lift, place) swept_flat_follower_at(n[0], n[1], lift, place)
    told(FLAT_AT(&l, &c) == SWEPT_OK && near(c.radius_of_curvature_m, 0.020) && near(c.contact_m, -0.004 * sin(0.7)) && near(c.x_m, 0.020 * sin(0.7)) &&
             near(c.y_m, 0.004 + 0.020 * cos(0.7)), "a flat follower", "another contact");
    LEAVES(c, FLAT_AT(NULL, &c), SWEPT_NULL_POINTER);
    NO(FLAT_AT(&l, NULL), SWEPT_NULL_POINTER);
    EACH_NUMBER(n, c, FLAT_AT(&l, &c));
    EACH_NUMBER(l, c, FLAT_AT(&l, &c));
}

#define FLAT(f, x, place)                                                                  \
    do {                                                                                   \
        double value[2] = {0.018, x};                                                      \
        LEAVES(place, f(value[0], NULL, value[1], &place), SWEPT_NULL_POINTER);            \
        NO(f(value[0], curve, value[1], NULL), SWEPT_NULL_POINTER);                        \
        EACH_NUMBER(value, place, f(value[0], curve, value[1], &place));                   \
    } while (0)

/* s + s'' of the harmonic lobe is h/2 (1 + (1 - k^2) cos k t), least at the nose; the contact goes out to h k / 2. */
static void flat(void) {
    struct swept_contact_range face;
    double least = LOBE - LOBE * K * K / 2.0, n[3] = {0.060, 0.005, 0.001};
    told(swept_flat_least_radius_of_curvature(n[0], curve, &e) == SWEPT_OK && close_to(e.value_m, n[0] + least, 1e-9) && fabs(e.angle_rad) < 1e-6,
         "flat least radius", "another");
    LEAVES(e, swept_flat_least_radius_of_curvature(n[0], NULL, &e), SWEPT_NULL_POINTER);
    NO(swept_flat_least_radius_of_curvature(n[0], curve, NULL), SWEPT_NULL_POINTER);
    told(swept_flat_base_radius_for(curve, n[1], &out) == SWEPT_OK && close_to(out, n[1] - least, 1e-9), "flat base radius", "another");
    REFUSES(swept_flat_base_radius_for(NULL, n[1], &out), SWEPT_NULL_POINTER);
    REFUSES(swept_flat_base_radius_for(curve, n[1], NULL), SWEPT_NULL_POINTER);
    REFUSES(swept_flat_base_radius_for(curve, -0.001, &out), SWEPT_OUT_OF_RANGE);
    told(swept_flat_check_curvature(n[0], curve, 0.02, &e) == SWEPT_OK && close_to(e.value_m, 0.025, 1e-9), "curved enough", "refused");
    LEAVES(e, swept_flat_check_curvature(n[0], curve, 0.03, &e), SWEPT_OUT_OF_RANGE);
    told(strstr(swept_last_error_message(), "base circle radius") != NULL, "too sharp", "no remedy");
    FLAT(swept_flat_check_curvature, 0.001, e);
    told(swept_flat_face(n[0], curve, &face) == SWEPT_OK && close_to(face.opening.value_m, LOBE * K / 2.0, 1e-9) && close_to(face.closing.value_m, -LOBE * K / 2.0, 1e-9) &&
             close_to(face.opening.angle_rad, -30.0 * DEG, 1e-5) && close_to(face.closing.angle_rad, 30.0 * DEG, 1e-5), "a flat face", "another range");
    LEAVES(face, swept_flat_face(n[0], NULL, &face), SWEPT_NULL_POINTER);
    NO(swept_flat_face(n[0], curve, NULL), SWEPT_NULL_POINTER);
    told(swept_flat_face_sizes(n[0], curve, n[2], &out, &second) == SWEPT_OK && close_to(out, LOBE * K + 0.001, 1e-9) && close_to(second, out, 1e-9), "sizes", "others");
    REFUSES(swept_flat_face_sizes(n[0], NULL, n[2], &out, &second), SWEPT_NULL_POINTER);
    REFUSES(swept_flat_face_sizes(n[0], curve, n[2], NULL, &second), SWEPT_NULL_POINTER);
    REFUSES(swept_flat_face_sizes(n[0], curve, n[2], &out, NULL), SWEPT_NULL_POINTER);
    NOT_A_NUMBER(n[0], swept_flat_face_sizes(n[0], curve, n[2], &out, &second));
    NOT_A_NUMBER(n[2], swept_flat_face_sizes(n[0], curve, n[2], &out, &second));
    NOT_A_NUMBER(n[0], swept_flat_least_radius_of_curvature(n[0], curve, &e));
    NOT_A_NUMBER(n[0], swept_flat_face(n[0], curve, &face));
    NOT_A_NUMBER(n[1], swept_flat_base_radius_for(curve, n[1], &out));
    LEAVES(e, swept_flat_least_radius_of_curvature(0.0, curve, &e), SWEPT_OUT_OF_RANGE);
}

/* The textbook's form without offset: Norton, Cam Design and Manufacturing Handbook (from memory). */
static double pitch_radius(double prime, double s, double v, double a) {
    double r = prime + s;
    return pow(r * r + v * v, 1.5) / (r * r + 2.0 * v * v - r * a);
}

static struct swept_roller_follower roller = {0.030, 0.009, 0.0};

static void roller_contact(void) {
    struct swept_roller_contact c;
    struct swept_lift l = {0.004, 0.006, -0.012, 0.1}, straight = {0.011, 0.0, 0.050, 0.0};
    double rho = pitch_radius(0.039, 0.004, 0.006, -0.012), phi = atan2(0.006, 0.043), angle[1] = {-0.5};
#define ROLLER_AT(follower, lift, place) swept_roller_follower_at(follower, angle[0], lift, place)
    told(ROLLER_AT(&roller, &l, &c) == SWEPT_OK && near(c.pressure_angle_rad, phi) && near(c.pitch_radius_of_curvature_m, rho) &&
             near(c.radius_of_curvature_m, rho - 0.009), "a roller follower", "another contact");
    /* The roller touches a roller's radius below its centre, along the common normal. */
    told(close_to(c.x_m * cos(-0.5) - c.y_m * sin(-0.5), 0.009 * sin(phi), 1e-9) && close_to(c.x_m * sin(-0.5) + c.y_m * cos(-0.5), 0.043 - 0.009 * cos(phi), 1e-9),
         "a roller follower", "another point");
    told(ROLLER_AT(&roller, &straight, &c) == SWEPT_OK && fabs(c.pitch_radius_of_curvature_m) > 1e6, "a straight pitch curve", "a radius");
    LEAVES(c, ROLLER_AT(NULL, &l, &c), SWEPT_NULL_POINTER);
    LEAVES(c, ROLLER_AT(&roller, NULL, &c), SWEPT_NULL_POINTER);
    NO(ROLLER_AT(&roller, &l, NULL), SWEPT_NULL_POINTER);
    EACH_NUMBER(angle, c, ROLLER_AT(&roller, &l, &c));
    EACH_NUMBER(roller, c, ROLLER_AT(&roller, &l, &c));
    EACH_NUMBER(l, c, ROLLER_AT(&roller, &l, &c));
}

/* The greatest pressure angle, and the sharpest and the hollowest radius of curvature, of the closed form at two hundred thousand places. */
static void scan(double *pressure, double *sharpest, double *hollowest) {
    long i;
    *pressure = *sharpest = *hollowest = 0.0;
    for (i = 0; i <= 200000; i++) {
        double t = LENGTH * (-1.0 + i / 200000.0), s = LOBE / 2.0 * (1.0 + cos(K * t)), v = -LOBE / 2.0 * K * sin(K * t), a = -LOBE / 2.0 * K * K * cos(K * t);
        double phi = atan2(v, 0.039 + s), curvature = 1.0 / pitch_radius(0.039, s, v, a);
        if (phi > *pressure) *pressure = phi;
        if (curvature > *sharpest) *sharpest = curvature;
        if (curvature < *hollowest) *hollowest = curvature;
    }
}

#define ROLLER(f, place)                                                                   \
    do {                                                                                   \
        LEAVES(place, f(NULL, curve, &place), SWEPT_NULL_POINTER);                         \
        LEAVES(place, f(&roller, NULL, &place), SWEPT_NULL_POINTER);                       \
        NO(f(&roller, curve, NULL), SWEPT_NULL_POINTER);                                   \
        EACH_NUMBER(roller, place, f(&roller, curve, &place));                             \
    } while (0)
#define ROLLER_1(f, x, place)                                                              \
    do {                                                                                   \
        double value[1] = {x};                                                             \
        LEAVES(place, f(NULL, curve, value[0], &place), SWEPT_NULL_POINTER);               \
        LEAVES(place, f(&roller, NULL, value[0], &place), SWEPT_NULL_POINTER);             \
        NO(f(&roller, curve, value[0], NULL), SWEPT_NULL_POINTER);                         \
        EACH_NUMBER(roller, place, f(&roller, curve, value[0], &place));                   \
        EACH_NUMBER(value, place, f(&roller, curve, value[0], &place));                    \
    } while (0)

static void rollers(void) {
    struct swept_pressure_angle p;
    struct swept_lift_curve *low = lobe_of(SWEPT_HARMONIC, 0.001, LENGTH, 0.0);
    double pressure, sharpest, hollowest;
    scan(&pressure, &sharpest, &hollowest);
    told(swept_roller_greatest_pressure_angle(&roller, curve, &p) == SWEPT_OK && close_to(fabs(p.value_rad), pressure, 1e-8), "pressure angle", "another");
    told(swept_roller_check_pressure_angle(&roller, curve, pressure * 1.01, &p) == SWEPT_OK && close_to(fabs(p.value_rad), pressure, 1e-8), "pressure angle", "refused");
    LEAVES(p, swept_roller_check_pressure_angle(&roller, curve, pressure * 0.99, &p), SWEPT_OUT_OF_RANGE);
    told(swept_roller_base_radius_for_pressure_angle(&roller, curve, pressure, &out) == SWEPT_OK && close_to(out, 0.030, 1e-7), "base radius", "another");
    REFUSES(swept_roller_base_radius_for_pressure_angle(&roller, curve, 1.6, &out), SWEPT_OUT_OF_RANGE);
    told(swept_roller_least_radius_of_curvature(&roller, curve, &e) == SWEPT_OK && close_to(e.value_m, 1.0 / sharpest - 0.009, 1e-8), "least radius", "another");
    told(swept_roller_check_curvature(&roller, curve, e.value_m * 0.99, &e) == SWEPT_OK, "least radius", "refused");
    LEAVES(e, swept_roller_check_curvature(&roller, curve, 0.050, &e), SWEPT_OUT_OF_RANGE);
    told(swept_roller_base_radius_for_curvature(&roller, curve, 1.0 / sharpest - 0.009, &out) == SWEPT_OK && close_to(out, 0.030, 1e-6), "base radius", "another");
    told(swept_roller_greatest_wheel_radius(&roller, curve, &e) == SWEPT_OK && close_to(e.value_m, 0.009 - 1.0 / hollowest, 1e-6), "a wheel", "another");
    told(swept_roller_check_wheel(&roller, curve, e.value_m * 0.9, &e) == SWEPT_OK, "a small wheel", "refused");
    LEAVES(e, swept_roller_check_wheel(&roller, curve, 1000.0, &e), SWEPT_OUT_OF_RANGE);
    told(swept_roller_greatest_wheel_radius(&roller, low, &e) == SWEPT_OK && isnan(e.value_m) && isnan(e.angle_rad), "a convex cam", "hollow");
    told(swept_roller_check_wheel(&roller, low, 1000.0, &e) == SWEPT_OK && isnan(e.value_m), "a convex cam", "refused");
    swept_lift_curve_free(low);
    ROLLER(swept_roller_greatest_pressure_angle, p);
    ROLLER(swept_roller_least_radius_of_curvature, e);
    ROLLER(swept_roller_greatest_wheel_radius, e);
    ROLLER_1(swept_roller_check_pressure_angle, 1.0, p);
    ROLLER_1(swept_roller_base_radius_for_pressure_angle, 0.5, out);
    ROLLER_1(swept_roller_check_curvature, 0.001, e);
    ROLLER_1(swept_roller_base_radius_for_curvature, 0.001, out);
    ROLLER_1(swept_roller_check_wheel, 0.05, e);
}

int main(void) {
    nan_value = strtod("nan", NULL);
    curve = lobe_of(SWEPT_HARMONIC, LOBE, LENGTH, 0.0);
    flat_contact();
    flat();
    roller_contact();
    rollers();
    swept_lift_curve_free(curve);
    if (failures) return 1;
    puts("C: followers as their formulas, every bad number and pointer refused");
    return 0;
}
