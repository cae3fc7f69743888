/* Clearance of valves to piston, walls and each other: values against closed forms and plain scans, then bad pointers, numbers, counts. */
#include "lobe.h"

static struct swept_lift_curve *curve;
static struct swept_crown_pocket pocket = {-0.018, 0.0, 0.040, 0.003, 0.0};
static struct swept_piston_to_valve gap = {
    {0.086, 0.086, 0.143, 0.0}, {0.035, 0.0012, 0.0, -0.018, 0.0, 0.0005}, 0.0011, NULL, {0.0001, 0.0002, 0.00005}};
static struct swept_clearance_search search;
static struct swept_least_clearance_found least;

/* An upright valve opens by the lift, and the piston goes down by x = l + r - (r cos t + sqrt(l^2 - r^2 sin^2 t)). */
static double down(double t) {
    double r = 0.043, l = 0.143;
    return l + r - r * cos(t) - sqrt(l * l - r * r * sin(t) * sin(t));
}

static double lift_at(double t, double centreline) {
    double cam = (t - centreline) / 2.0;
    return fabs(cam) < LENGTH ? LOBE / 2.0 * (1.0 + cos(K * cam)) : 0.0;
}

static double scanned(double centreline, double *where) {
    double found = 1.0;
    int i;
    for (i = -1800; i <= 1800; i++) {
        double t = 2.0 * PI * i / 3600.0, clearance = 0.0005 + 0.0011 - 0.00035 + down(t) - lift_at(t, centreline);
        if (clearance < found) found = clearance, *where = t;
    }
    return found;
}

static void at_one_place(void) {
    struct swept_valve_clearances c;
    double n[2] = {0.2, 0.004}, tilt = 14.0 * DEG, low;
    told(swept_valve_clearances_at(&gap, n[0], n[1], &c) == SWEPT_OK && near(c.axial_m, 0.00125 + down(0.2) - 0.004) && near(c.along_stem_m, c.axial_m) &&
             isnan(c.pocket_wall_m) && near(c.bore_wall_m, 0.043 - 0.018 - 0.0175), "upright", "other clearances");
    told(swept_valve_clearances_at_position(&gap, 0.001, n[1], &c) == SWEPT_OK && near(c.axial_m, 0.00225 - 0.004), "a position", "another clearance");
    gap.pocket = &pocket;
    told(swept_valve_clearances_at_position(&gap, 0.001, n[1], &c) == SWEPT_OK && near(c.axial_m, 0.00525 - 0.004) && near(c.pocket_wall_m, 0.0025), "in a pocket", "other clearances");
    gap.pocket = NULL, gap.head.tilt_rad = tilt;
    /* The rim's lowest point is half the diameter down the slope. */
    low = 0.0005 - 0.004 * cos(tilt) + 0.00075 + 0.001 - 0.0175 * sin(tilt);
    told(swept_valve_clearances_at_position(&gap, 0.001, n[1], &c) == SWEPT_OK && near(c.axial_m, low) && near(c.along_stem_m, low / cos(tilt)), "tilted", "other clearances");
    gap.head.tilt_rad = 0.0, gap.pocket = &pocket;
#define AT(call)                                                                           \
    do {                                                                                   \
        LEAVES(c, call(NULL, n[0], n[1], &c), SWEPT_NULL_POINTER);                         \
        NO(call(&gap, n[0], n[1], NULL), SWEPT_NULL_POINTER);                              \
        EACH_NUMBER(n, c, call(&gap, n[0], n[1], &c));                                     \
        EACH_NUMBER(gap.cylinder, c, call(&gap, n[0], n[1], &c));                          \
        EACH_NUMBER(gap.head, c, call(&gap, n[0], n[1], &c));                              \
        EACH_NUMBER(gap.piston_to_head_m, c, call(&gap, n[0], n[1], &c));                  \
        EACH_NUMBER(gap.allowances, c, call(&gap, n[0], n[1], &c));                        \
        EACH_NUMBER(pocket, c, call(&gap, n[0], n[1], &c));                                \
        LEAVES(c, call(&gap, n[0], -0.001, &c), SWEPT_OUT_OF_RANGE);                       \
    } while (0)
    AT(swept_valve_clearances_at);
    AT(swept_valve_clearances_at_position);
    pocket.offset_m = -0.030;
    LEAVES(c, swept_valve_clearances_at(&gap, n[0], n[1], &c), SWEPT_OUT_OF_RANGE);
    pocket.offset_m = -0.018, gap.pocket = NULL;
}

static void set_up(void) {
    memset(&search, 0, sizeof search);
    search.gap = gap, search.motion.train.curve = curve, search.motion.train.train.ratio = 1.0, search.motion.centreline_rad = 86.0 * DEG;
}

static void searches(void) {
    struct swept_least_clearance_found every, at[3];
    struct swept_advance_range range;
    struct swept_wall_clearance pocket_wall, bore_wall;
    double where = 0.0, clearance = scanned(86.0 * DEG, &where), advances[3] = {0.0, 5.0 * DEG, -5.0 * DEG};
    int i;
    set_up();
    told(swept_least_clearance(&search, &least) == SWEPT_OK && fabs(least.clearance_m - clearance) < 1e-12 && fabs(least.crank_rad - where) < 1e-9 &&
             fabs(least.lift_m - lift_at(where, 86.0 * DEG)) < 1e-12 && least.evaluations < 3601, "swept_least_clearance", "another");
    told(swept_least_clearance_every_angle(&search, &every) == SWEPT_OK && every.clearance_m == least.clearance_m && every.crank_rad == least.crank_rad &&
             every.lift_m == least.lift_m && every.evaluations == 3601, "every angle", "another");
    search.along = SWEPT_ALONG_STEM, search.per_turn = 3600;
    told(swept_least_clearance(&search, &every) == SWEPT_OK && every.clearance_m == least.clearance_m, "along an upright stem", "another");
    told(swept_clearance_at_advances(&search, advances, 3, at) == SWEPT_OK, "at advances", "refused");
    for (i = 0; i < 3; i++) told(fabs(at[i].clearance_m - scanned(86.0 * DEG - advances[i], &where)) < 1e-12 && fabs(at[i].crank_rad - where) < 1e-9, "at advances", "another");
    told(swept_clearance_at_advances(&search, NULL, 0, at) == SWEPT_OK, "no advances", "refused");
    told(swept_advance_limits(&search, clearance - 0.0005, -10.0 * DEG, 20.0 * DEG, &range) == SWEPT_OK && near(range.least_rad, -10.0 * DEG) && range.unbroken == 1 &&
             range.greatest_rad > 0.0 && fabs(scanned(86.0 * DEG - range.greatest_rad, &where) - clearance + 0.0005) < 1e-9, "advance limits", "others");
    REFUSES(swept_pocket_depth(&search, 0.001, &out), SWEPT_MISSING_KEY);
    told(swept_least_wall_clearances(&search, &pocket_wall, &bore_wall) == SWEPT_OK && isnan(pocket_wall.clearance_m) && near(bore_wall.clearance_m, 0.0075), "walls", "others");
    search.gap.pocket = &pocket;
    told(swept_pocket_depth(&search, 0.001, &out) == SWEPT_OK && fabs(out - (0.001 - clearance)) < 1e-12, "pocket depth", "another");
    pocket.depth_m = out;
    told(swept_least_clearance(&search, &least) == SWEPT_OK && fabs(least.clearance_m - 0.001) < 1e-12, "a pocket of that depth", "another clearance");
    told(swept_least_wall_clearances(&search, &pocket_wall, &bore_wall) == SWEPT_OK && near(pocket_wall.clearance_m, 0.0025) && pocket_wall.lift_m > 0.0, "walls", "others");
    pocket.depth_m = 0.003;
}

#define SPOILS(call, place, change, status)                                                \
    do {                                                                                   \
        set_up(), search.gap.pocket = &pocket, search.per_turn = 72;                       \
        change;                                                                            \
        LEAVES(place, call, status);                                                       \
    } while (0)
/* A search with each pointer null, numbers NaN, choices that are none. */
#define HOSTILE_SEARCH(call, place)                                                        \
    do {                                                                                   \
        SPOILS(call, place, search.motion.train.curve = NULL, SWEPT_NULL_POINTER);         \
        SPOILS(call, place, search.gap.cylinder.stroke_m = nan_value, SWEPT_NOT_FINITE);   \
        SPOILS(call, place, search.gap.head.height_m = HUGE_VAL, SWEPT_NOT_FINITE);        \
        SPOILS(call, place, search.gap.piston_to_head_m = nan_value, SWEPT_NOT_FINITE);    \
        SPOILS(call, place, search.gap.allowances.thermal_m = nan_value, SWEPT_NOT_FINITE); \
        SPOILS(call, place, search.motion.train.lash_m = nan_value, SWEPT_NOT_FINITE);     \
        SPOILS(call, place, search.motion.train.train.ratio = HUGE_VAL, SWEPT_NOT_FINITE); \
        SPOILS(call, place, search.motion.centreline_rad = nan_value, SWEPT_NOT_FINITE);   \
        SPOILS(call, place, search.motion.train.train.ratio = 0.0, SWEPT_OUT_OF_RANGE);    \
        SPOILS(call, place, search.per_turn = 71, SWEPT_OUT_OF_RANGE);                     \
        SPOILS(call, place, search.per_turn = 70, SWEPT_OUT_OF_RANGE);                     \
        SPOILS(call, place, search.per_turn = UINT32_MAX, SWEPT_OUT_OF_RANGE);             \
        SPOILS(call, place, search.along = 2, SWEPT_OUT_OF_RANGE);                         \
        SPOILS(call, place, pocket.diameter_m = nan_value, SWEPT_NOT_FINITE);              \
        pocket.diameter_m = 0.040;                                                         \
        set_up(), search.gap.pocket = &pocket, search.per_turn = 72;                       \
        search.motion.train.lash_m = 1e300, search.motion.centreline_rad = 1e300;          \
        told((call) < SWEPT_OTHER, #call, "huge");                                         \
        set_up(), search.gap.pocket = &pocket, search.per_turn = 72;                       \
    } while (0)

static void hostile_searches(void) {
    struct swept_advance_range range;
    struct swept_wall_clearance wall, other;
    double n[3] = {0.0001, -0.1, 0.1}, depth[1] = {0.001}, advances[2] = {0.1, -0.1};
#define LIMITS swept_advance_limits(&search, n[0], n[1], n[2], &range)
#define AT_ADVANCES swept_clearance_at_advances(&search, advances, 2, at)
    struct swept_least_clearance_found at[2];
    HOSTILE_SEARCH(swept_least_clearance(&search, &least), least);
    HOSTILE_SEARCH(swept_least_clearance_every_angle(&search, &least), least);
    HOSTILE_SEARCH(LIMITS, range);
    HOSTILE_SEARCH(AT_ADVANCES, at);
    HOSTILE_SEARCH(swept_pocket_depth(&search, depth[0], &out), out);
    HOSTILE_SEARCH(swept_least_wall_clearances(&search, &wall, &other), wall);
    NULLS_1(swept_least_clearance, search, least);
    NULLS_1(swept_least_clearance_every_angle, search, least);
    LEAVES(range, swept_advance_limits(NULL, n[0], n[1], n[2], &range), SWEPT_NULL_POINTER);
    NO(swept_advance_limits(&search, n[0], n[1], n[2], NULL), SWEPT_NULL_POINTER);
    EACH_NUMBER(n, range, LIMITS);
    LEAVES(range, swept_advance_limits(&search, 1.0, n[1], n[2], &range), SWEPT_NO_SOLUTION);
    LEAVES(range, swept_advance_limits(&search, n[0], n[2], n[1], &range), SWEPT_OUT_OF_RANGE);
    LEAVES(at, swept_clearance_at_advances(NULL, advances, 2, at), SWEPT_NULL_POINTER);
    LEAVES(at, swept_clearance_at_advances(&search, NULL, 2, at), SWEPT_NULL_POINTER);
    LEAVES(at, swept_clearance_at_advances(&search, advances, HUGE_COUNT, at), SWEPT_WRONG_LENGTH);
    NO(swept_clearance_at_advances(&search, advances, 2, NULL), SWEPT_NULL_POINTER);
    EACH_NUMBER(advances, at, AT_ADVANCES);
    NULLS_2(swept_pocket_depth, search, depth[0], out);
    EACH_NUMBER(depth, out, swept_pocket_depth(&search, depth[0], &out));
    LEAVES(wall, swept_least_wall_clearances(NULL, &wall, &other), SWEPT_NULL_POINTER);
    LEAVES(other, swept_least_wall_clearances(&search, NULL, &other), SWEPT_NULL_POINTER);
    LEAVES(wall, swept_least_wall_clearances(&search, &wall, NULL), SWEPT_NULL_POINTER);
}

/* Two upright heads, 36 mm apart: 5 mm between the rims at one height, and the hypotenuse with one lower by more than the margin. */
static void heads(void) {
    struct swept_valve_pair pair = {{0.033, 0.0012, 0.0, -0.018, 0.0, 0.004}, {0.029, 0.0012, 0.0, -0.018, 0.0, 0.004}, 3.14159265358979323846};
    struct swept_head_distance_found d;
    struct swept_least_head_distance_found found;
    struct swept_valve_motion intake, exhaust;
    double n[2] = {0.002, 0.002};
    memset(&intake, 0, sizeof intake);
    intake.train.curve = curve, intake.train.train.ratio = 1.0, intake.centreline_rad = 106.0 * DEG;
    exhaust = intake, exhaust.centreline_rad = -106.0 * DEG;
#define DISTANCE(of, place) swept_head_distance(of, n[0], n[1], place)
    told(DISTANCE(&pair, &d) == SWEPT_OK && close_to(d.distance_m, 0.005, 1e-9) && d.at_least_m <= d.distance_m && close_to(d.at_least_m, 0.005, 1e-6), "heads", "another distance");
    n[0] = 0.005;
    told(DISTANCE(&pair, &d) == SWEPT_OK && close_to(d.distance_m, sqrt(0.005 * 0.005 + 0.0018 * 0.0018), 1e-9), "heads", "another distance");
    LEAVES(d, DISTANCE(NULL, &d), SWEPT_NULL_POINTER);
    NO(DISTANCE(&pair, NULL), SWEPT_NULL_POINTER);
    EACH_NUMBER(n, d, DISTANCE(&pair, &d));
    EACH_NUMBER(pair, d, DISTANCE(&pair, &d));
#define LEAST(a, b, place) swept_least_head_distance(&pair, a, b, 360, place)
    told(LEAST(&intake, &exhaust, &found) == SWEPT_OK && close_to(found.distance_m, 0.005, 1e-9) && found.at_least_m <= found.distance_m &&
             close_to(found.first_lift_m, lift_at(found.crank_rad, 106.0 * DEG), 1e-9) && close_to(found.second_lift_m, lift_at(found.crank_rad, -106.0 * DEG), 1e-9),
         "overlap", "another distance");
    exhaust.centreline_rad = -170.0 * DEG;
    told(LEAST(&intake, &exhaust, &found) == SWEPT_OK && isnan(found.distance_m) && isnan(found.crank_rad), "never both open", "a distance");
    exhaust.centreline_rad = -106.0 * DEG;
    LEAVES(found, LEAST(NULL, &exhaust, &found), SWEPT_NULL_POINTER);
    LEAVES(found, LEAST(&intake, NULL, &found), SWEPT_NULL_POINTER);
    NO(LEAST(&intake, &exhaust, NULL), SWEPT_NULL_POINTER);
    LEAVES(found, swept_least_head_distance(NULL, &intake, &exhaust, 360, &found), SWEPT_NULL_POINTER);
    LEAVES(found, swept_least_head_distance(&pair, &intake, &exhaust, 7, &found), SWEPT_OUT_OF_RANGE);
    NOT_A_NUMBER(pair.turned_rad, LEAST(&intake, &exhaust, &found));
    NOT_A_NUMBER(intake.centreline_rad, LEAST(&intake, &exhaust, &found));
    NOT_A_NUMBER(exhaust.train.lash_m, LEAST(&intake, &exhaust, &found));
    intake.train.curve = NULL;
    LEAVES(found, LEAST(&intake, &exhaust, &found), SWEPT_NULL_POINTER);
}

/* Symmetrical about top dead centre: twice the area under the intake's flank up to it, 2 h (L - c/2 - L/pi sin(pi c / (2 L))). */
static void overlap(void) {
    double c = 100.0 * DEG, L = LENGTH;
    struct swept_cam_timing cam = {{100.0 * DEG, 120.0 * DEG, 120.0 * DEG, 0.0}, {-100.0 * DEG, 120.0 * DEG, 120.0 * DEG, 0.0}};
    struct swept_valve_train intake, exhaust;
    memset(&intake, 0, sizeof intake);
    intake.curve = curve, intake.train.ratio = 1.0, exhaust = intake;
    told(swept_overlap_area(&cam, &intake, &exhaust, &out) == SWEPT_OK && close_to(out, 2.0 * LOBE * (L - c / 2.0 - L / PI * sin(PI * c / (2.0 * L))), 1e-5), "overlap area", "another");
    REFUSES(swept_overlap_area(NULL, &intake, &exhaust, &out), SWEPT_NULL_POINTER);
    REFUSES(swept_overlap_area(&cam, NULL, &exhaust, &out), SWEPT_NULL_POINTER);
    REFUSES(swept_overlap_area(&cam, &intake, NULL, &out), SWEPT_NULL_POINTER);
    REFUSES(swept_overlap_area(&cam, &intake, &exhaust, NULL), SWEPT_NULL_POINTER);
    EACH_NUMBER(cam, out, swept_overlap_area(&cam, &intake, &exhaust, &out));
    NOT_A_NUMBER(exhaust.lash_m, swept_overlap_area(&cam, &intake, &exhaust, &out));
    exhaust.curve = NULL;
    REFUSES(swept_overlap_area(&cam, &intake, &exhaust, &out), SWEPT_NULL_POINTER);
}

int main(void) {
    nan_value = strtod("nan", NULL);
    curve = lobe_of(SWEPT_HARMONIC, LOBE, LENGTH, 0.0);
    at_one_place();
    searches();
    hostile_searches();
    heads();
    overlap();
    swept_lift_curve_free(curve);
    if (failures) return 1;
    puts("C: clearances of valves as their formulas, every bad number, count and pointer refused");
    return 0;
}
