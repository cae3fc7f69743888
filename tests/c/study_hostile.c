/* Studies: bad texts, pointers, names and sizes are refused and nothing is written; questions that are stopped; grids whose rows do not fit. */
#include "check.h"
#include <string.h>

static struct swept_study *study, *made;
static uint64_t rows[4];
static double values[8];
static size_t count;

/* Refused, and all outputs left alone. */
#define NO(call, status)                                                                   \
    do {                                                                                   \
        made = NULL, rows[0] = 7, values[0] = -7.0, count = 7;                             \
        told((call) == (status) && made == NULL && rows[0] == 7 && values[0] == -7.0 && count == 7, #call, #status); \
    } while (0)
#define NO_TEXT(text, status) NO(swept_study_new(text, strlen(text), &made), status)
#define AXIS(inside) "{\"axes\": [{\"figure\": \"bore\", " inside "}]}"

static struct swept_study *study_of(const char *text) {
    struct swept_study *study = NULL;
    told(swept_study_new(text, strlen(text), &study) == SWEPT_OK && study != NULL, "swept_study_new", text);
    return study;
}

static void texts(void) {
    size_t most = (size_t)17 << 20, i;
    char *large = (char *)malloc(most);
    NO_TEXT("", SWEPT_UNREADABLE);
    NO(swept_study_new(NULL, 0, &made), SWEPT_UNREADABLE);
    NO(swept_study_new(NULL, 2, &made), SWEPT_NULL_POINTER);
    NO(swept_study_new("{}", 2, NULL), SWEPT_NULL_POINTER);
    NO(swept_study_new("{}", (size_t)-1, &made), SWEPT_WRONG_LENGTH);
    NO(swept_study_new("\xff\xfe", 2, &made), SWEPT_NOT_UTF8);
    NO(swept_study_new("{\0}", 3, &made), SWEPT_UNREADABLE);
    NO_TEXT("{}", SWEPT_UNREADABLE);
    NO_TEXT("NaN", SWEPT_UNREADABLE);
    NO_TEXT(AXIS("\"values\": [86]"), SWEPT_UNREADABLE);
    NO_TEXT(AXIS("\"values\": [\"86\"]"), SWEPT_MISSING_UNIT);
    NO_TEXT(AXIS("\"values\": [\"86 kg\"]"), SWEPT_WRONG_DIMENSION);
    NO_TEXT(AXIS("\"values\": [\"86 mmm\"]"), SWEPT_UNKNOWN_UNIT);
    NO_TEXT(AXIS("\"values\": [\"1e999 mm\"]"), SWEPT_NOT_FINITE);
    NO_TEXT(AXIS("\"values\": [\"-1 mm\"]"), SWEPT_OUT_OF_RANGE);
    NO_TEXT(AXIS("\"values\": []"), SWEPT_WRONG_LENGTH);
    NO_TEXT(AXIS("\"from\": \"1 mm\", \"to\": \"2 mm\", \"count\": 0"), SWEPT_WRONG_LENGTH);
    NO_TEXT(AXIS("\"from\": \"1 mm\", \"to\": \"2 mm\", \"count\": -1"), SWEPT_UNREADABLE);
    NO_TEXT(AXIS("\"from\": \"1 mm\", \"to\": \"2 mm\", \"count\": 99999999999999999"), SWEPT_WRONG_LENGTH);
    NO_TEXT(AXIS("\"from\": \"1 mm\", \"to\": \"2 mm\", \"step\": \"-1 mm\""), SWEPT_OUT_OF_RANGE);
    NO_TEXT(AXIS("\"from\": \"1 mm\""), SWEPT_MISSING_KEY);
    NO_TEXT("{\"axes\": [{\"figure\": \"boar\", \"values\": [\"86 mm\"]}]}", SWEPT_UNKNOWN_KEY);
    told(strstr(swept_last_error_message(), "bore") != NULL, "boar", "the nearest name is not told");
    NO_TEXT("{\"axes\": [], \"limits\": {\"displacement\": {\"upper\": \"2 l\"}}}", SWEPT_MISSING_KEY);
    NO_TEXT("{\"axes\": [], \"fixed\": {\"bore\": \"nan mm\"}}", SWEPT_UNREADABLE);
    if (!large) exit(1);
    for (i = 0; i < most; i++) large[i] = '[';
    NO(swept_study_new(large, most, &made), SWEPT_WRONG_LENGTH);
    NO(swept_study_new(large, most / 2, &made), SWEPT_UNREADABLE);
    free(large);
}

static void pointers(void) {
    struct swept_study_counts c = {7, 7, 7.0, 7.0};
    struct swept_study_exclusion e;
    struct swept_study_rows *cursor = NULL, *none = NULL;
    struct swept_study_objective o[2] = {{"rod_ratio", 1}, {NULL, 0}};
    NO(swept_study_partition(NULL, 0, 1, &made), SWEPT_NULL_POINTER);
    NO(swept_study_partition(study, 0, 1, NULL), SWEPT_NULL_POINTER);
    NO(swept_study_count(NULL, NULL, &c), SWEPT_NULL_POINTER);
    NO(swept_study_count(study, NULL, NULL), SWEPT_NULL_POINTER);
    told(c.designs == 7 && c.feasible_rounded == 7.0, "swept_study_count", "written though refused");
    NO(swept_study_excluded(NULL, NULL, &e, 1, &count), SWEPT_NULL_POINTER);
    NO(swept_study_excluded(study, NULL, NULL, 1, &count), SWEPT_NULL_POINTER);
    NO(swept_study_excluded(study, NULL, &e, 1, NULL), SWEPT_NULL_POINTER);
    NO(swept_study_best(NULL, NULL, "rod_ratio", 1, rows, values, 1, &count), SWEPT_NULL_POINTER);
    NO(swept_study_best(study, NULL, NULL, 1, rows, values, 1, &count), SWEPT_NULL_POINTER);
    NO(swept_study_best(study, NULL, "rod_ratio", 1, NULL, values, 1, &count), SWEPT_NULL_POINTER);
    NO(swept_study_best(study, NULL, "rod_ratio", 1, rows, NULL, 1, &count), SWEPT_NULL_POINTER);
    NO(swept_study_best(study, NULL, "rod_ratio", 1, rows, values, 1, NULL), SWEPT_NULL_POINTER);
    NO(swept_study_pareto(study, NULL, o, 2, rows, values, 4, &count), SWEPT_NULL_POINTER);
    o[1].output = "bore_stroke_ratio";
    NO(swept_study_pareto(NULL, NULL, o, 2, rows, values, 4, &count), SWEPT_NULL_POINTER);
    NO(swept_study_pareto(study, NULL, NULL, 2, rows, values, 4, &count), SWEPT_NULL_POINTER);
    NO(swept_study_pareto(study, NULL, o, 2, NULL, values, 4, &count), SWEPT_NULL_POINTER);
    NO(swept_study_pareto(study, NULL, o, 2, rows, NULL, 4, &count), SWEPT_NULL_POINTER);
    NO(swept_study_pareto(study, NULL, o, 2, rows, values, 4, NULL), SWEPT_NULL_POINTER);
    rows[0] = 0;
    REFUSES(swept_study_values(NULL, "bore", rows, 1, &out), SWEPT_NULL_POINTER);
    REFUSES(swept_study_values(study, NULL, rows, 1, &out), SWEPT_NULL_POINTER);
    REFUSES(swept_study_values(study, "bore", NULL, 1, &out), SWEPT_NULL_POINTER);
    REFUSES(swept_study_values(study, "bore", rows, 1, NULL), SWEPT_NULL_POINTER);
    NO(swept_study_rows_new(NULL, &none), SWEPT_NULL_POINTER);
    NO(swept_study_rows_new(study, NULL), SWEPT_NULL_POINTER);
    told(none == NULL && swept_study_rows_new(study, &cursor) == SWEPT_OK, "swept_study_rows_new", "refused");
    NO(swept_study_rows_next(NULL, NULL, rows, 4, &count), SWEPT_NULL_POINTER);
    NO(swept_study_rows_next(cursor, NULL, NULL, 4, &count), SWEPT_NULL_POINTER);
    NO(swept_study_rows_next(cursor, NULL, rows, 4, NULL), SWEPT_NULL_POINTER);
    NO(swept_study_rows_next(cursor, NULL, rows, 0, &count), SWEPT_WRONG_LENGTH);
    NO(swept_study_rows_next(cursor, NULL, rows, (size_t)-1, &count), SWEPT_WRONG_LENGTH);
    told(swept_study_rows_next(cursor, NULL, rows, 4, &count) == SWEPT_OK && count == 3 && rows[2] == 2, "swept_study_rows_next", "a refusal took rows");
    swept_study_rows_free(cursor);
}

static void arguments(void) {
    struct swept_study_counts c;
    struct swept_workers crowd = {(size_t)-1, NULL, NULL};
    struct swept_study_exclusion e;
    struct swept_study_objective o[9];
    int i;
    for (i = 0; i < 9; i++) o[i].output = "rod_ratio", o[i].maximise = 1;
    NO(swept_study_partition(study, 3, 3, &made), SWEPT_OUT_OF_RANGE);
    NO(swept_study_partition(study, 0, 0, &made), SWEPT_OUT_OF_RANGE);
    NO(swept_study_count(study, &crowd, &c), SWEPT_OUT_OF_RANGE);
    NO(swept_study_excluded(study, NULL, NULL, 0, &count), SWEPT_WRONG_LENGTH);
    NO(swept_study_excluded(study, NULL, &e, (size_t)-1, &count), SWEPT_WRONG_LENGTH);
    NO(swept_study_best(study, NULL, "power", 1, rows, values, 4, &count), SWEPT_UNKNOWN_KEY);
    NO(swept_study_best(study, NULL, "\xff", 1, rows, values, 4, &count), SWEPT_NOT_UTF8);
    NO(swept_study_best(study, NULL, "peak_acceleration", 1, rows, values, 4, &count), SWEPT_MISSING_KEY);
    told(!strcmp(swept_last_error_field(), "speed"), "peak_acceleration", "what is missing is not told");
    NO(swept_study_best(study, NULL, "rod_ratio", 2, rows, values, 4, &count), SWEPT_OUT_OF_RANGE);
    NO(swept_study_best(study, NULL, "rod_ratio", 1, rows, values, (size_t)-1, &count), SWEPT_WRONG_LENGTH);
    NO(swept_study_pareto(study, NULL, o, 1, rows, values, 4, &count), SWEPT_WRONG_LENGTH);
    NO(swept_study_pareto(study, NULL, o, 9, rows, values, 4, &count), SWEPT_WRONG_LENGTH);
    NO(swept_study_pareto(study, NULL, NULL, 0, NULL, NULL, 0, &count), SWEPT_WRONG_LENGTH);
    NO(swept_study_pareto(study, NULL, o, (size_t)-1, rows, values, 4, &count), SWEPT_WRONG_LENGTH);
    NO(swept_study_pareto(study, NULL, o, 2, rows, values, (size_t)-1, &count), SWEPT_WRONG_LENGTH);
    o[1].maximise = -1;
    NO(swept_study_pareto(study, NULL, o, 2, rows, values, 4, &count), SWEPT_OUT_OF_RANGE);
    o[1].output = "weight";
    NO(swept_study_pareto(study, NULL, o, 2, rows, values, 4, &count), SWEPT_UNKNOWN_KEY);
    rows[0] = 3;
    REFUSES(swept_study_values(study, "bore", rows, 1, &out), SWEPT_OUT_OF_RANGE);
    rows[0] = UINT64_MAX;
    REFUSES(swept_study_values(study, "rod_ratio", rows, 1, &out), SWEPT_OUT_OF_RANGE);
    rows[0] = 0;
    REFUSES(swept_study_values(study, "speed", rows, 1, &out), SWEPT_MISSING_KEY);
    REFUSES(swept_study_values(study, "power", rows, 1, &out), SWEPT_UNKNOWN_KEY);
    REFUSES(swept_study_values(study, "bore", rows, (size_t)-1, &out), SWEPT_WRONG_LENGTH);
}

struct seen {
    int asked, patience;
    double done;
};

static int32_t look(double done, void *user) {
    struct seen *seen = (struct seen *)user;
    told(done >= seen->done && done <= 1.0, "watch", "the share falls");
    seen->done = done;
    return ++seen->asked > seen->patience;
}

/* Ten million million designs, with an offset pin, so that most must be looked at: no machine ends before it is asked whether to go on. */
static void stopped(void) {
    struct swept_study *long_one = study_of("{\"axes\": [{\"figure\": \"bore\", \"from\": \"80 mm\", \"to\": \"90 mm\", \"count\": 10001},"
        "{\"figure\": \"pin_offset\", \"from\": \"0.1 mm\", \"to\": \"1 mm\", \"count\": 1000},"
        "{\"figure\": \"stroke\", \"from\": \"70 mm\", \"to\": \"95 mm\", \"count\": 1000},"
        "{\"figure\": \"rod_length\", \"from\": \"130 mm\", \"to\": \"150 mm\", \"count\": 1000}],"
        "\"limits\": {\"displacement\": {\"upper\": \"400 cm3\"}}}");
    struct seen seen = {0, 2, 0.0};
    struct swept_workers workers;
    struct swept_study_counts c;
    struct swept_study_objective o[2] = {{"displacement", 1}, {"peak_rod_angle", 0}};
    struct swept_study_exclusion e;
    struct swept_study_rows *cursor = NULL;
    workers.threads = 2, workers.watch = look, workers.user = &seen;
#define STOPS(call) do { seen.asked = 0, seen.done = 0.0; NO(call, SWEPT_STOPPED); told(seen.asked == 3, #call, "asked another number of times"); } while (0)
    STOPS(swept_study_count(long_one, &workers, &c));
    STOPS(swept_study_best(long_one, &workers, "displacement", 1, rows, values, 4, &count));
    STOPS(swept_study_pareto(long_one, &workers, o, 2, rows, values, 4, &count));
    STOPS(swept_study_excluded(long_one, &workers, &e, 1, &count));
    told(swept_study_rows_new(long_one, &cursor) == SWEPT_OK, "swept_study_rows_new", "refused");
    seen.patience = 0;
    seen.asked = 0, seen.done = 0.0;
    told(swept_study_rows_next(cursor, &workers, rows, 4, &count) == SWEPT_STOPPED || count == 4, "swept_study_rows_next", "neither stopped nor done");
    workers.watch = NULL;
    told(swept_study_rows_next(cursor, &workers, rows, 4, &count) == SWEPT_OK && count == 4 && rows[3] > rows[0], "after a stop", "refused");
    swept_study_rows_free(cursor);
    swept_study_free(long_one);
}

/* 1e20 designs: their number is told as a double, rows below 2^64 are given, others refused. */
static void large(void) {
#define FIVE "{\"figure\": \"rod_length\", \"from\": \"130 mm\", \"to\": \"150 mm\", \"count\": 10000}, {\"figure\": \"bore\", \"from\": \"80 mm\", \"to\": \"90 mm\", \"count\": 10000}," \
    "{\"figure\": \"stroke\", \"from\": \"95 mm\", \"to\": \"70 mm\", \"count\": 10000}, {\"figure\": \"gasket_bore\", \"from\": \"91 mm\", \"to\": \"92 mm\", \"count\": 10000}," \
    "{\"figure\": \"speed\", \"from\": \"1000 rpm\", \"to\": \"7000 rpm\", \"count\": 10000}"
#define EIGHT "{\"figure\": \"bore_spacing\", \"from\": \"96 mm\", \"to\": \"99 mm\", \"count\": 100000}, {\"figure\": \"chamber_volume\", \"from\": \"40 cm3\", \"to\": \"50 cm3\", \"count\": 100000}," \
    "{\"figure\": \"crown_volume\", \"from\": \"1 cm3\", \"to\": \"2 cm3\", \"count\": 100000}, {\"figure\": \"crevice_volume\", \"from\": \"1 cm3\", \"to\": \"2 cm3\", \"count\": 100000}"
    struct swept_study *huge = study_of("{\"axes\": [" FIVE "]}"), *beyond = study_of("{\"axes\": [" FIVE ", " EIGHT "]}"), *part = NULL;
    struct swept_study_counts c;
    struct swept_study_rows *cursor = NULL;
    told(swept_study_count(huge, NULL, &c) == SWEPT_OK && c.designs == UINT64_MAX && c.feasible == UINT64_MAX && c.designs_rounded == 1e20 && c.feasible_rounded == 1e20,
         "swept_study_count", "another number");
    NO(swept_study_rows_new(huge, &cursor), SWEPT_OUT_OF_RANGE);
    told(cursor == NULL, "swept_study_rows_new", "written though refused");
    NO(swept_study_best(huge, NULL, "rod_ratio", 1, rows, values, 1, &count), SWEPT_OUT_OF_RANGE);
    told(!strcmp(swept_last_error_field(), "row"), "a row that does not fit", "is not told");
    told(swept_study_best(huge, NULL, "rod_ratio", 0, rows, values, 1, &count) == SWEPT_OK && count == 1 && rows[0] == 0 && near(values[0], 130.0 / 95.0), "the first row", "refused");
    told(swept_study_partition(huge, 0, 10, &part) == SWEPT_OK && swept_study_count(part, NULL, &c) == SWEPT_OK && c.designs == 10000000000000000000u, "a part", "another number");
    told(swept_study_rows_new(part, &cursor) == SWEPT_OK && swept_study_rows_next(cursor, NULL, rows, 4, &count) == SWEPT_OK && count == 4 && rows[3] == 3, "rows of a part", "refused");
    swept_study_rows_free(cursor);
    swept_study_free(part);
    NO(swept_study_count(beyond, NULL, &c), SWEPT_OUT_OF_RANGE);
    NO(swept_study_partition(beyond, 0, 10, &made), SWEPT_OUT_OF_RANGE);
    swept_study_free(beyond);
    swept_study_free(huge);
}

int main(void) {
    nan_value = strtod("nan", NULL);
    study = study_of("{\"axes\": [{\"figure\": \"bore\", \"values\": [\"84 mm\", \"85 mm\", \"86 mm\"]}],"
                     "\"fixed\": {\"stroke\": \"86 mm\", \"rod_length\": \"143 mm\"}, \"limits\": {\"rod_ratio\": {\"lower\": \"1.5\"}}}");
    texts();
    pointers();
    arguments();
    stopped();
    large();
    swept_study_free(study);
    if (failures == 0) puts("studies: all refused or stopped as they should be");
    return failures != 0;
}
