/* Designs in columns and scattered: bad texts, columns, pointers, names, sizes and arrays that overlap are refused and nothing is written; questions that are stopped. */
#include "check.h"
#include <string.h>

#define ROWS 5
static double bore[2 * ROWS] = {84.0, 85.0, 86.0, 87.0, 88.0, 0.0, 0.0, 0.0, 0.0, 0.0};
static double stroke[ROWS] = {86.0, 86.0, 86.0, 86.0, 86.0};
static struct swept_designs *designs, *made;
static struct swept_column columns[3] = {{"bore", "mm", bore, ROWS}, {"stroke", "mm", stroke, ROWS}, {"rod_length", "mm", stroke, ROWS}};
static uint64_t rows[4 * ROWS];
static double values[4 * ROWS];
static uint8_t flags[ROWS];
static size_t count;
static struct swept_designs_counts c;

/* Refused, and all outputs left alone. */
#define NO(call, status)                                                                   \
    do {                                                                                   \
        made = NULL, rows[0] = 7, values[0] = -7.0, flags[0] = 7, count = 7, c.rows = 7;   \
        told((call) == (status) && made == NULL && rows[0] == 7 && values[0] == -7.0 && flags[0] == 7 && count == 7 && c.rows == 7, #call, #status); \
    } while (0)
#define OF(text, some, n) swept_designs_from_columns(text, strlen(text), some, n, &made)
#define NO_SCATTER(text, status) NO(swept_designs_from_scatter(text, strlen(text), &made), status)
#define RANGE(inside) "{\"ranges\": [{\"figure\": \"bore\", " inside "}], \"designs\": 10}"

static void texts(void) {
    NO(OF("", columns, 2), SWEPT_UNREADABLE);
    NO(swept_designs_from_columns(NULL, 0, columns, 2, &made), SWEPT_UNREADABLE);
    NO(swept_designs_from_columns(NULL, 2, columns, 2, &made), SWEPT_NULL_POINTER);
    NO(swept_designs_from_columns("{}", 2, columns, 2, NULL), SWEPT_NULL_POINTER);
    NO(swept_designs_from_columns("{}", (size_t)-1, columns, 2, &made), SWEPT_WRONG_LENGTH);
    NO(swept_designs_from_columns("\xff\xfe", 2, columns, 2, &made), SWEPT_NOT_UTF8);
    NO(OF("{\"axes\": []}", columns, 2), SWEPT_UNREADABLE);
    NO(OF("{\"fixed\": {\"cylinders\": 4}}", columns, 2), SWEPT_UNREADABLE);
    NO(OF("{\"fixed\": {\"rod_length\": \"143 kg\"}}", columns, 2), SWEPT_WRONG_DIMENSION);
    NO(OF("{\"fixed\": {\"bore\": \"86 mm\"}}", columns, 2), SWEPT_UNKNOWN_KEY);
    NO(OF("{\"fixed\": {\"boar\": \"86 mm\"}}", columns, 2), SWEPT_UNKNOWN_KEY);
    NO(OF("{\"limits\": {\"rod_ratio\": {\"lower\": \"1.5\"}}}", columns, 2), SWEPT_MISSING_KEY);
    NO(OF("{\"limits\": {\"power\": {\"lower\": \"1.5\"}}}", columns, 2), SWEPT_UNKNOWN_KEY);
    NO_SCATTER("", SWEPT_UNREADABLE);
    NO_SCATTER("{}", SWEPT_UNREADABLE);
    NO_SCATTER("{\"ranges\": [], \"designs\": -1}", SWEPT_UNREADABLE);
    NO_SCATTER("{\"ranges\": [], \"designs\": 10000000001}", SWEPT_OUT_OF_RANGE);
    NO_SCATTER(RANGE("\"from\": \"80 mm\""), SWEPT_UNREADABLE);
    NO_SCATTER(RANGE("\"from\": \"80 mm\", \"to\": \"90\""), SWEPT_MISSING_UNIT);
    NO_SCATTER(RANGE("\"from\": \"80 mm\", \"to\": \"90 mmm\""), SWEPT_UNKNOWN_UNIT);
    NO_SCATTER(RANGE("\"from\": \"90 mm\", \"to\": \"80 mm\""), SWEPT_OUT_OF_RANGE);
    NO_SCATTER(RANGE("\"from\": \"-1 mm\", \"to\": \"80 mm\""), SWEPT_OUT_OF_RANGE);
    NO_SCATTER("{\"ranges\": [{\"figure\": \"boar\", \"from\": \"80 mm\", \"to\": \"90 mm\"}], \"designs\": 10}", SWEPT_UNKNOWN_KEY);
    NO(swept_designs_from_scatter(NULL, 0, &made), SWEPT_UNREADABLE);
    NO(swept_designs_from_scatter(NULL, 2, &made), SWEPT_NULL_POINTER);
    NO(swept_designs_from_scatter("{}", 2, NULL), SWEPT_NULL_POINTER);
    NO(swept_designs_from_scatter("\xff\xfe", 2, &made), SWEPT_NOT_UTF8);
    NO(swept_designs_from_scatter("{}", (size_t)-1, &made), SWEPT_WRONG_LENGTH);
}

/* A column that is none, in the place of the second. */
static void bad_columns(void) {
    struct swept_column some[2];
#define BAD(place, bad, status)                                                            \
    do {                                                                                   \
        memcpy(some, columns, sizeof some);                                                \
        some[1].place = bad;                                                               \
        NO(OF("{}", some, 2), status);                                                     \
    } while (0)
    BAD(figure, NULL, SWEPT_NULL_POINTER);
    BAD(figure, "strok", SWEPT_UNKNOWN_KEY);
    told(strstr(swept_last_error_message(), "stroke") != NULL, "strok", "the nearest name is not told");
    BAD(figure, "\xff", SWEPT_NOT_UTF8);
    BAD(figure, "displacement", SWEPT_UNKNOWN_KEY);
    BAD(figure, "bore", SWEPT_UNKNOWN_KEY);
    BAD(unit, "kg", SWEPT_WRONG_DIMENSION);
    told(!strcmp(swept_last_error_field(), "columns.stroke"), "a column in kg", "which one is not told");
    BAD(unit, "mmm", SWEPT_UNKNOWN_UNIT);
    BAD(unit, "", SWEPT_MISSING_UNIT);
    BAD(unit, "\xff", SWEPT_NOT_UTF8);
    BAD(values, NULL, SWEPT_NULL_POINTER);
    BAD(count, ROWS - 1, SWEPT_WRONG_LENGTH);
    BAD(count, 0, SWEPT_WRONG_LENGTH);
    BAD(count, (size_t)-1, SWEPT_WRONG_LENGTH);
    NO(OF("{}", columns, 0), SWEPT_WRONG_LENGTH);
    NO(OF("{}", NULL, 2), SWEPT_NULL_POINTER);
    NO(OF("{}", columns, (size_t)-1), SWEPT_WRONG_LENGTH);
}

static void pointers(void) {
    struct swept_study_exclusion e;
    struct swept_output_column o = {"displacement", values};
    NO(swept_designs_count(NULL, NULL, &c), SWEPT_NULL_POINTER);
    NO(swept_designs_count(designs, NULL, NULL), SWEPT_NULL_POINTER);
    NO(swept_designs_excluded(NULL, NULL, &e, 1, &count), SWEPT_NULL_POINTER);
    NO(swept_designs_excluded(designs, NULL, NULL, 1, &count), SWEPT_NULL_POINTER);
    NO(swept_designs_excluded(designs, NULL, &e, 1, NULL), SWEPT_NULL_POINTER);
    NO(swept_designs_best(NULL, NULL, "displacement", 1, rows, values, 1, &count), SWEPT_NULL_POINTER);
    NO(swept_designs_best(designs, NULL, NULL, 1, rows, values, 1, &count), SWEPT_NULL_POINTER);
    NO(swept_designs_best(designs, NULL, "displacement", 1, NULL, values, 1, &count), SWEPT_NULL_POINTER);
    NO(swept_designs_best(designs, NULL, "displacement", 1, rows, NULL, 1, &count), SWEPT_NULL_POINTER);
    NO(swept_designs_best(designs, NULL, "displacement", 1, rows, values, 1, NULL), SWEPT_NULL_POINTER);
    NO(swept_designs_feasible(NULL, NULL, 0, ROWS, rows, ROWS, &count), SWEPT_NULL_POINTER);
    NO(swept_designs_feasible(designs, NULL, 0, ROWS, NULL, ROWS, &count), SWEPT_NULL_POINTER);
    NO(swept_designs_feasible(designs, NULL, 0, ROWS, rows, ROWS, NULL), SWEPT_NULL_POINTER);
    NO(swept_designs_outputs(NULL, NULL, 0, ROWS, &o, 1, flags, &c), SWEPT_NULL_POINTER);
    NO(swept_designs_outputs(designs, NULL, 0, ROWS, NULL, 1, flags, &c), SWEPT_NULL_POINTER);
    o.output = NULL;
    NO(swept_designs_outputs(designs, NULL, 0, ROWS, &o, 1, flags, &c), SWEPT_NULL_POINTER);
    o.output = "displacement", o.values = NULL;
    NO(swept_designs_outputs(designs, NULL, 0, ROWS, &o, 1, flags, &c), SWEPT_NULL_POINTER);
    NO(swept_designs_values(NULL, "bore", rows, 1, values), SWEPT_NULL_POINTER);
    NO(swept_designs_values(designs, NULL, rows, 1, values), SWEPT_NULL_POINTER);
    NO(swept_designs_values(designs, "bore", NULL, 1, values), SWEPT_NULL_POINTER);
    NO(swept_designs_values(designs, "bore", rows, 1, NULL), SWEPT_NULL_POINTER);
}

static void arguments(void) {
    struct swept_workers crowd = {(size_t)-1, NULL, NULL};
    struct swept_study_exclusion e;
    struct swept_output_column o = {"displacement", values};
    uint64_t row = ROWS;
    NO(swept_designs_count(designs, &crowd, &c), SWEPT_OUT_OF_RANGE);
    NO(swept_designs_excluded(designs, NULL, NULL, 0, &count), SWEPT_WRONG_LENGTH);
    NO(swept_designs_excluded(designs, NULL, &e, (size_t)-1, &count), SWEPT_WRONG_LENGTH);
    NO(swept_designs_best(designs, NULL, "power", 1, rows, values, 4, &count), SWEPT_UNKNOWN_KEY);
    NO(swept_designs_best(designs, NULL, "\xff", 1, rows, values, 4, &count), SWEPT_NOT_UTF8);
    NO(swept_designs_best(designs, NULL, "rod_ratio", 1, rows, values, 4, &count), SWEPT_MISSING_KEY);
    told(!strcmp(swept_last_error_field(), "rod_length"), "rod_ratio", "what is missing is not told");
    NO(swept_designs_best(designs, NULL, "displacement", 2, rows, values, 4, &count), SWEPT_OUT_OF_RANGE);
    NO(swept_designs_best(designs, NULL, "displacement", 1, rows, values, (size_t)-1, &count), SWEPT_WRONG_LENGTH);
    NO(swept_designs_feasible(designs, NULL, 0, ROWS + 1, rows, 8, &count), SWEPT_OUT_OF_RANGE);
    NO(swept_designs_feasible(designs, NULL, ROWS, 1, rows, 8, &count), SWEPT_OUT_OF_RANGE);
    NO(swept_designs_feasible(designs, NULL, UINT64_MAX, UINT64_MAX, rows, 8, &count), SWEPT_OUT_OF_RANGE);
    NO(swept_designs_feasible(designs, NULL, 1, UINT64_MAX, rows, 8, &count), SWEPT_OUT_OF_RANGE);
    NO(swept_designs_feasible(designs, NULL, 0, ROWS, rows, (size_t)-1, &count), SWEPT_WRONG_LENGTH);
    NO(swept_designs_feasible(designs, NULL, 0, ROWS, rows, 1, &count), SWEPT_WRONG_LENGTH);
    NO(swept_designs_outputs(designs, NULL, 0, ROWS + 1, &o, 1, flags, &c), SWEPT_OUT_OF_RANGE);
    NO(swept_designs_outputs(designs, NULL, UINT64_MAX, 1, &o, 1, flags, &c), SWEPT_OUT_OF_RANGE);
    NO(swept_designs_outputs(designs, NULL, 0, (size_t)-1, &o, 1, flags, &c), SWEPT_OUT_OF_RANGE);
    NO(swept_designs_outputs(designs, NULL, 0, ROWS, &o, (size_t)-1, flags, &c), SWEPT_WRONG_LENGTH);
    o.output = "power";
    NO(swept_designs_outputs(designs, NULL, 0, ROWS, &o, 1, flags, &c), SWEPT_UNKNOWN_KEY);
    o.output = "bore";
    NO(swept_designs_outputs(designs, NULL, 0, ROWS, &o, 1, flags, &c), SWEPT_UNKNOWN_KEY);
    o.output = "rod_ratio";
    NO(swept_designs_outputs(designs, NULL, 0, ROWS, &o, 1, flags, &c), SWEPT_MISSING_KEY);
    NO(swept_designs_values(designs, "bore", &row, 1, values), SWEPT_OUT_OF_RANGE);
    row = UINT64_MAX;
    NO(swept_designs_values(designs, "displacement", &row, 1, values), SWEPT_OUT_OF_RANGE);
    row = 0;
    NO(swept_designs_values(designs, "power", &row, 1, values), SWEPT_UNKNOWN_KEY);
    NO(swept_designs_values(designs, "speed", &row, 1, values), SWEPT_MISSING_KEY);
    NO(swept_designs_values(designs, "bore", &row, (size_t)-1, values), SWEPT_WRONG_LENGTH);
}

/* Arrays to write to that share memory with one another, or with the columns; neighbours do not. */
static void overlapping(void) {
    struct swept_output_column o[2] = {{"displacement", values}, {"bore_stroke_ratio", values}};
#define TOGETHER(first, second, status) do { o[0].values = first, o[1].values = second; NO(swept_designs_outputs(designs, NULL, 0, ROWS, o, 2, flags, &c), status); } while (0)
    TOGETHER(values, values, SWEPT_OUT_OF_RANGE);
    TOGETHER(values, values + ROWS - 1, SWEPT_OUT_OF_RANGE);
    TOGETHER(values + ROWS - 1, values, SWEPT_OUT_OF_RANGE);
    TOGETHER(values, bore, SWEPT_OUT_OF_RANGE);
    TOGETHER(bore + ROWS - 1, values, SWEPT_OUT_OF_RANGE);
    told(bore[ROWS - 1] == 88.0 && bore[0] == 84.0, "the columns", "written");
    o[0].values = values, o[1].values = values + ROWS;
    NO(swept_designs_outputs(designs, NULL, 0, ROWS, o, 2, (uint8_t *)(values + 2 * ROWS - 1), &c), SWEPT_OUT_OF_RANGE);
    told(swept_designs_outputs(designs, NULL, 0, ROWS, o, 2, (uint8_t *)(values + 2 * ROWS), &c) == SWEPT_OK && near(values[ROWS], 84.0 / 86.0), "neighbours", "refused");
    o[0].values = bore + ROWS;
    told(swept_designs_outputs(designs, NULL, 0, ROWS, o, 2, flags, &c) == SWEPT_OK && c.refused == 0, "neighbours of a column", "refused");
}

static int32_t stop(double done, void *user) {
    told(done >= 0.0 && done <= 1.0, "watch", "no share");
    ++*(int *)user;
    return 1;
}

/* Ten thousand million designs: no machine ends before it is asked whether to go on. */
static void stopped(void) {
    static const char *const TEXT = "{\"ranges\": [{\"figure\": \"bore\", \"from\": \"80 mm\", \"to\": \"90 mm\"}, {\"figure\": \"stroke\", \"from\": \"70 mm\", \"to\": \"95 mm\"}],"
        "\"designs\": 10000000000, \"fixed\": {\"rod_length\": \"143 mm\", \"pin_offset\": \"0.5 mm\"}, \"limits\": {\"peak_rod_angle\": {\"lower\": \"16.9 deg\"}}}";
    struct swept_designs *many = NULL;
    struct swept_study_exclusion e;
    struct swept_workers workers;
    size_t room = (size_t)1 << 22;
    double *large = (double *)malloc(room * sizeof *large);
    struct swept_output_column o;
    int asked = 0, status;
    workers.threads = 1, workers.watch = stop, workers.user = &asked;
    if (!large) exit(1);
    told(swept_designs_from_scatter(TEXT, strlen(TEXT), &many) == SWEPT_OK, "many designs", "refused");
#define STOPS(call) do { asked = 0; NO(call, SWEPT_STOPPED); told(asked == 1, #call, "asked another number of times"); } while (0)
    STOPS(swept_designs_count(many, &workers, &c));
    STOPS(swept_designs_excluded(many, &workers, &e, 1, &count));
    STOPS(swept_designs_best(many, &workers, "displacement", 1, rows, values, 4, &count));
    STOPS(swept_designs_feasible(many, &workers, 5000000000u, 5000000000u, rows, 4, &count));
    STOPS(swept_designs_feasible(many, &workers, 0, 10000000000u, NULL, 0, &count));
    o.output = "peak_rod_angle", o.values = large;
    c.rows = 7;
    status = swept_designs_outputs(many, &workers, 0, room, &o, 1, NULL, &c);
    told(status == SWEPT_STOPPED ? c.rows == 7 : status == SWEPT_OK && c.rows == room, "outputs", "neither stopped nor done");
    swept_designs_free(many);
    free(large);
}

/* Rows that are all refused, and none at all. */
static void empty(void) {
    double bad[3] = {0.0, HUGE_VAL, nan_value};
    struct swept_column none = {"bore", "mm", NULL, 0}, refused = {"bore", "mm", NULL, 3};
    struct swept_designs *no_rows = NULL, *no_engine = NULL;
    struct swept_output_column o = {"wall_between_bores", values};
    static const char *const TEXT = "{\"fixed\": {\"bore_spacing\": \"96 mm\"}}";
    refused.values = bad;
    told(swept_designs_from_columns(TEXT, strlen(TEXT), &none, 1, &no_rows) == SWEPT_OK && swept_designs_count(no_rows, NULL, &c) == SWEPT_OK && c.rows == 0, "no rows", "refused");
    told(swept_designs_feasible(no_rows, NULL, 0, 0, rows, 4, &count) == SWEPT_OK && count == 0, "no rows", "refused");
    o.values = NULL;
    told(swept_designs_outputs(no_rows, NULL, 0, 0, &o, 1, NULL, NULL) == SWEPT_OK, "no rows", "refused");
    NO(swept_designs_feasible(no_rows, NULL, 0, 1, rows, 4, &count), SWEPT_OUT_OF_RANGE);
    o.values = values;
    told(swept_designs_from_columns(TEXT, strlen(TEXT), &refused, 1, &no_engine) == SWEPT_OK && swept_designs_outputs(no_engine, NULL, 0, 3, &o, 1, flags, &c) == SWEPT_OK &&
             c.refused == 3 && c.feasible == 0 && isnan(values[0]) && isnan(values[1]) && isnan(values[2]) && !flags[0] && !flags[1] && !flags[2], "no engines", "taken");
    told(swept_designs_best(no_engine, NULL, "wall_between_bores", 1, rows, values, 4, &count) == SWEPT_OK && count == 0, "best of no engines", "one");
    swept_designs_free(no_engine);
    swept_designs_free(no_rows);
}

int main(void) {
    static const char *const TEXT = "{\"limits\": {\"bore_stroke_ratio\": {\"lower\": \"0.99\"}}}";
    nan_value = strtod("nan", NULL);
    told(swept_designs_from_columns(TEXT, strlen(TEXT), columns, 2, &designs) == SWEPT_OK, "designs", "refused");
    texts();
    bad_columns();
    pointers();
    arguments();
    overlapping();
    stopped();
    empty();
    swept_designs_free(designs);
    if (failures == 0) puts("designs in columns and scattered: all refused or stopped as they should be");
    return failures != 0;
}
