/* Least clearances of the valves of designs in columns: a plain scan of every whole degree, then bad columns, pointers, lengths and arrays that overlap. */
#include "check.h"
#include <string.h>

#define ROWS 700
#define FIGURES 14
static const char *const NAMES[FIGURES] = {
    "stroke", "rod_length", "pin_offset", "cam_advance", "intake_static_clearance", "intake_lift", "intake_duration", "intake_centreline", "intake_valve_angle",
    "exhaust_static_clearance", "exhaust_lift", "exhaust_duration", "exhaust_centreline", "exhaust_valve_angle"};
static const char *const UNITS[FIGURES] = {"mm", NULL, "mm", "deg", "mm", NULL, "deg", "deg", "deg", NULL, "mm", NULL, "deg", NULL};
/* In mm and degrees. */
static const double LOW[FIGURES] = {70, 130, -1.5, -8, 4, 8, 240, 100, 0, 4, 8, 240, -120, 0}, HIGH[FIGURES] = {100, 160, 1.5, 8, 8, 13, 300, 120, 25, 8, 13, 300, -100, 25};
static double figures[FIGURES][ROWS], answers[4][ROWS];
static struct swept_column columns[FIGURES];

#define ASK(some, n, rows) swept_valve_clearances_of_columns(some, n, NULL, rows, answers[0], answers[1], answers[2], answers[3])

/* The factor from mm and degrees to what the column is in. */
static double factor(int figure) {
    if (UNITS[figure]) return 1.0;
    return strstr(NAMES[figure], "duration") || strstr(NAMES[figure], "angle") ? PI / 180.0 : 1e-3;
}

static void fill(void) {
    int i, row;
    for (i = 0; i < FIGURES; i++) {
        double step = sqrt(2.0 + i) - floor(sqrt(2.0 + i)) + 0.1234567;
        for (row = 0; row < ROWS; row++) {
            double at = (row + 1) * step;
            figures[i][row] = (LOW[i] + (at - floor(at)) * (HIGH[i] - LOW[i])) * factor(i);
        }
        columns[i].figure = NAMES[i], columns[i].unit = UNITS[i], columns[i].values = figures[i], columns[i].count = ROWS;
    }
}

static double figure(int i, int row) {
    return figures[i][columns[i].count == 1 ? 0 : row] / factor(i);
}

/* mm, at a whole degree from overlap top dead centre. */
static double clearance(int valve, int row, int degree) {
    int v = 4 + 5 * valve;
    double r = figure(0, row) / 2.0, l = figure(1, row), e = figure(2, row), t = degree * PI / 180.0;
    double half = figure(v + 2, row) / 2.0, centre = figure(v + 3, row) - figure(3, row), x = 1.0 - fabs(degree - centre) / half;
    double top = sqrt((l + r) * (l + r) - e * e), side = r * sin(t) + e, drop = top - r * cos(t) - sqrt(l * l - side * side);
    double lift = x > 0.0 ? figure(v + 1, row) * x * x * x * (10.0 - 15.0 * x + 6.0 * x * x) : 0.0;
    return figure(v, row) + drop - lift * cos(figure(v + 4, row) * PI / 180.0);
}

static void as_scanned(int sign) {
    int row, valve, degree;
    for (row = 0; row < ROWS; row++)
        for (valve = 0; valve < 2; valve++) {
            double least = HUGE_VAL, found = answers[2 * valve][row], angle = answers[2 * valve + 1][row] * 180.0 / PI;
            for (degree = -360; degree < 360; degree++)
                if (clearance(valve, row, degree) < least) least = clearance(valve, row, degree);
            told(fabs(found - least * 1e-3) < 1e-15, valve ? "exhaust" : "intake", "another clearance");
            told(fabs(angle - floor(angle + 0.5)) < 1e-10 && fabs(clearance(valve, row, (int)floor(angle + 0.5)) - least) < 1e-12, valve ? "exhaust" : "intake", "another angle");
            told(sign == 0 || (valve ? angle < 0.5 : angle > -0.5), valve ? "exhaust" : "intake", "on the wrong side of top dead centre");
        }
}

static void values(void) {
    struct swept_workers workers = {0, NULL, NULL};
    double kept[4][3];
    struct swept_column few[FIGURES];
    int i, n = 0;
    for (workers.threads = 0; workers.threads < 4; workers.threads++) {
        memset(answers, 0, sizeof answers);
        told(swept_valve_clearances_of_columns(columns, FIGURES, &workers, ROWS, answers[0], answers[1], answers[2], answers[3]) == SWEPT_OK, "columns", "refused");
        as_scanned(0);
    }
    /* Figures that are the same in all rows; those that are zero where nothing is said. */
    for (i = 0; i < FIGURES; i++) {
        if (i == 2 || i == 3 || i == 8 || i == 13) {
            memset(figures[i], 0, sizeof figures[i]);
            continue;
        }
        if (i % 3 == 1) columns[i].count = 1;
        few[n++] = columns[i];
    }
    told(n == 10 && ASK(few, 10, ROWS) == SWEPT_OK, "few columns", "refused");
    as_scanned(1);
    /* One design alone, and none. */
    for (i = 0; i < 4; i++) kept[i][0] = answers[i][0], kept[i][1] = answers[i][1];
    for (i = 0; i < 10; i++) few[i].count = 1;
    told(ASK(few, 10, 1) == SWEPT_OK, "one design", "refused");
    for (i = 0; i < 4; i++) told(answers[i][0] == kept[i][0] && answers[i][1] == kept[i][1], "one design", "another clearance, or more than one");
    told(ASK(few, 10, 3) == SWEPT_OK && near(answers[0][2], answers[0][0]), "the same three times", "refused");
    told(swept_valve_clearances_of_columns(few, 10, NULL, 0, NULL, NULL, NULL, NULL) == SWEPT_OK, "no rows", "refused");
    fill();
}

/* NaN for what is no engine, and for that row alone. */
static void no_engines(void) {
    struct { int figure; double bad; } bad[6];
    int i, k;
    bad[0].figure = 0, bad[0].bad = nan_value;
    bad[1].figure = 1, bad[1].bad = 0.020;
    bad[2].figure = 5, bad[2].bad = -0.001;
    bad[3].figure = 6, bad[3].bad = 0.0;
    bad[4].figure = 7, bad[4].bad = HUGE_VAL;
    bad[5].figure = 4, bad[5].bad = nan_value;
    for (i = 0; i < 6; i++) figures[bad[i].figure][10 * i + 3] = bad[i].bad;
    told(ASK(columns, FIGURES, ROWS) == SWEPT_OK, "no engines", "refused");
    for (i = 0; i < 6; i++) {
        told(isnan(answers[0][10 * i + 3]) && isnan(answers[1][10 * i + 3]), NAMES[bad[i].figure], "a clearance");
        for (k = 0; k < 4; k++) told(!isnan(answers[k][10 * i + 2]) && !isnan(answers[k][10 * i + 4]), NAMES[bad[i].figure], "its neighbour has none");
    }
    fill();
}

#define NO(call, status)                                                                   \
    do {                                                                                   \
        answers[0][0] = answers[1][0] = answers[2][0] = answers[3][0] = -7.0;              \
        told((call) == (status) && answers[0][0] == -7.0 && answers[1][0] == -7.0 && answers[2][0] == -7.0 && answers[3][0] == -7.0, #call, #status); \
    } while (0)
#define BAD(member, bad, status)                                                           \
    do {                                                                                   \
        struct swept_column kept = columns[5];                                             \
        columns[5].member = bad;                                                           \
        NO(ASK(columns, FIGURES, ROWS), status);                                           \
        columns[5] = kept;                                                                 \
    } while (0)

static int32_t stop(double done, void *user) {
    (void)done;
    return ++*(int *)user;
}

static void hostile(void) {
    struct swept_workers crowd = {(size_t)-1, NULL, NULL};
    double (*a)[ROWS] = answers;
    int asked = 0, status;
    NO(ASK(NULL, FIGURES, ROWS), SWEPT_NULL_POINTER);
    NO(swept_valve_clearances_of_columns(columns, FIGURES, NULL, ROWS, NULL, a[1], a[2], a[3]), SWEPT_NULL_POINTER);
    NO(swept_valve_clearances_of_columns(columns, FIGURES, NULL, ROWS, a[0], NULL, a[2], a[3]), SWEPT_NULL_POINTER);
    NO(swept_valve_clearances_of_columns(columns, FIGURES, NULL, ROWS, a[0], a[1], NULL, a[3]), SWEPT_NULL_POINTER);
    NO(swept_valve_clearances_of_columns(columns, FIGURES, NULL, ROWS, a[0], a[1], a[2], NULL), SWEPT_NULL_POINTER);
    NO(swept_valve_clearances_of_columns(columns, FIGURES, &crowd, ROWS, a[0], a[1], a[2], a[3]), SWEPT_OUT_OF_RANGE);
    NO(ASK(columns, 0, ROWS), SWEPT_MISSING_KEY);
    NO(ASK(columns, FIGURES - 2, ROWS), SWEPT_MISSING_KEY);
    told(!strcmp(swept_last_error_field(), "exhaust_centreline"), "a figure that is missing", "is not told");
    NO(ASK(columns, (size_t)-1, ROWS), SWEPT_WRONG_LENGTH);
    NO(ASK(columns, FIGURES, ROWS - 1), SWEPT_WRONG_LENGTH);
    NO(ASK(columns, FIGURES, (size_t)-1), SWEPT_WRONG_LENGTH);
    BAD(figure, NULL, SWEPT_NULL_POINTER);
    BAD(figure, "\xff", SWEPT_NOT_UTF8);
    BAD(figure, "intake_lif", SWEPT_UNKNOWN_KEY);
    BAD(figure, "intake_duration", SWEPT_MISSING_KEY);
    BAD(unit, "deg", SWEPT_WRONG_DIMENSION);
    BAD(unit, "mmm", SWEPT_UNKNOWN_UNIT);
    BAD(values, NULL, SWEPT_NULL_POINTER);
    BAD(count, ROWS - 1, SWEPT_WRONG_LENGTH);
    BAD(count, 0, SWEPT_WRONG_LENGTH);
    BAD(count, (size_t)-1, SWEPT_WRONG_LENGTH);
    columns[2] = columns[3];
    NO(ASK(columns, FIGURES, ROWS), SWEPT_UNKNOWN_KEY);
    columns[2].figure = "bore", columns[2].unit = "mm";
    NO(ASK(columns, FIGURES, ROWS), SWEPT_UNKNOWN_KEY);
    told(!strcmp(swept_last_error_field(), "bore"), "a figure without a part", "is not told");
    fill();
    NO(swept_valve_clearances_of_columns(columns, FIGURES, NULL, ROWS, a[0], a[0], a[2], a[3]), SWEPT_OUT_OF_RANGE);
    NO(swept_valve_clearances_of_columns(columns, FIGURES, NULL, ROWS, a[0], a[1], a[2], a[2] + ROWS - 1), SWEPT_OUT_OF_RANGE);
    NO(swept_valve_clearances_of_columns(columns, FIGURES, NULL, ROWS, a[0], figures[13], a[2], a[3]), SWEPT_OUT_OF_RANGE);
    crowd.threads = 1, crowd.watch = stop, crowd.user = &asked;
    status = swept_valve_clearances_of_columns(columns, FIGURES, &crowd, ROWS, a[0], a[1], a[2], a[3]);
    told(status == SWEPT_STOPPED || (status == SWEPT_OK && asked == 0), "a watch that stops", "neither stopped nor done");
}

int main(void) {
    nan_value = strtod("nan", NULL);
    fill();
    values();
    no_engines();
    hostile();
    if (failures == 0) puts("valve clearances of columns: all as scanned, the rest refused");
    return failures != 0;
}
