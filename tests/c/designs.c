/* Designs in columns and scattered ones against every row looked at by itself, with closed forms, and against the same designs on a grid. */
#include "check.h"
#include <string.h>

#define ROWS 3001
#define LIMITS "\"limits\": {\"compression_ratio\": {\"lower\": \"9.5\", \"upper\": \"12.5\"}, \"displacement\": {\"upper\": \"2100.7 cm3\"}," \
    "\"mean_piston_speed\": {\"upper\": \"22.3 m/s\"}, \"rod_ratio\": {\"lower\": \"1.6001\"}}"
static const char *TEXT =
    "{\"fixed\": {\"cylinders\": \"4\", \"speed\": \"7500 rpm\", \"deck_clearance\": \"0.5 mm\", \"gasket_thickness\": \"1 mm\", \"gasket_bore\": \"92 mm\","
    "\"crown_volume\": \"3 cm3\"}, " LIMITS "}";
static const char *const OUTPUTS[4] = {"compression_ratio", "displacement", "mean_piston_speed", "rod_ratio"};

static double bore_mm[ROWS], stroke_m[ROWS], rod_in[ROWS], chamber_cm3[ROWS];
static double values[4][ROWS];
static uint8_t flags[ROWS];
static uint64_t rows[ROWS];
static struct row {
    int engine, feasible;
    double outputs[4];
} all[ROWS];
static uint64_t feasible, refused;
static struct swept_designs *designs;

/* Spread over a range, with no value on a limit. */
static double spread(int i, double step, double low, double high) {
    double at = (i + 1) * step;
    return low + (at - floor(at)) * (high - low);
}

static void look_at_all(void) {
    int i;
    feasible = refused = 0;
    for (i = 0; i < ROWS; i++) {
        struct row *row = &all[i];
        double b = bore_mm[i] * 1e-3, s = stroke_m[i], l = rod_in[i] * 0.0254, area = PI / 4.0 * b * b;
        double above = chamber_cm3[i] * 1e-6 + 3e-6 + PI / 4.0 * 0.092 * 0.092 * 0.001 + area * 0.0005;
        row->engine = isfinite(b) && b > 0.0 && isfinite(s) && s > 0.0 && isfinite(l) && l > s / 2.0;
        row->outputs[0] = (above + area * s) / above;
        row->outputs[1] = 4.0 * area * s;
        row->outputs[2] = 2.0 * s * 7500.0 / 60.0;
        row->outputs[3] = l / s;
        row->feasible = row->engine && row->outputs[0] >= 9.5 && row->outputs[0] <= 12.5 && row->outputs[1] <= 2100.7e-6 && row->outputs[2] <= 22.3 && row->outputs[3] >= 1.6001;
        feasible += (uint64_t)row->feasible;
        refused += (uint64_t)!row->engine;
    }
}

static void fill(void) {
    int i;
    for (i = 0; i < ROWS; i++) {
        bore_mm[i] = spread(i, 0.754877666246693, 80.0, 90.0);
        stroke_m[i] = spread(i, 0.569840290998053, 0.070, 0.095);
        rod_in[i] = spread(i, 0.419487182348971, 5.2, 6.1);
        chamber_cm3[i] = spread(i, 0.313597217534862, 30.0, 45.0);
        if (i % 97 == 5) bore_mm[i] = nan_value;
        if (i % 101 == 7) stroke_m[i] = -0.086;
        if (i % 103 == 9) rod_in[i] = HUGE_VAL;
        if (i % 107 == 11) rod_in[i] = 1.2;
    }
    look_at_all();
}

static void counts(void) {
    struct swept_designs_counts c;
    struct swept_workers workers = {0, NULL, NULL};
    struct swept_study_exclusion e[4];
    size_t count = 0;
    int i, k;
    told(feasible > 200 && feasible < ROWS / 2 && refused > 100, "the designs", "too few to tell");
    for (workers.threads = 0; workers.threads < 4; workers.threads++)
        told(swept_designs_count(designs, &workers, &c) == SWEPT_OK && c.rows == ROWS && c.feasible == feasible && c.refused == refused, "swept_designs_count", "another count");
    told(swept_designs_excluded(designs, NULL, e, 4, &count) == SWEPT_OK && count == 4, "swept_designs_excluded", "other limits");
    for (k = 0; k < 4; k++) {
        uint64_t out_of_it = 0;
        for (i = 0; i < ROWS; i++) {
            double x = all[i].outputs[k];
            out_of_it += all[i].engine && ((!isnan(e[k].lower) && x < e[k].lower) || (!isnan(e[k].upper) && x > e[k].upper));
        }
        told(!strcmp(e[k].output, OUTPUTS[k]) && e[k].designs == out_of_it && out_of_it > 0 && e[k].designs_rounded == (double)out_of_it, "excluded", OUTPUTS[k]);
    }
    told(near(e[0].lower, 9.5) && near(e[0].upper, 12.5) && isnan(e[1].lower) && near(e[1].upper, 2100.7e-6) && near(e[3].lower, 1.6001) && isnan(e[3].upper), "excluded", "other ends");
}

static void feasible_rows(void) {
    static const uint64_t blocks[4] = {ROWS, 1000, 257, 1};
    static uint64_t want[ROWS];
    struct swept_workers workers = {2, NULL, NULL};
    size_t b, n = 0, count = 0;
    int i;
    for (i = 0; i < ROWS; i++)
        if (all[i].feasible) want[n++] = (uint64_t)i;
    for (b = 0; b < 4; b++) {
        uint64_t first;
        size_t found = 0;
        for (first = 0; first < ROWS; first += blocks[b]) {
            uint64_t some = first + blocks[b] > ROWS ? ROWS - first : blocks[b];
            told(swept_designs_feasible(designs, &workers, first, some, rows + found, (size_t)some, &count) == SWEPT_OK && count <= some, "swept_designs_feasible", "refused");
            found += count;
        }
        told(found == feasible && !memcmp(rows, want, n * sizeof rows[0]), "feasible", "other rows");
    }
    told(swept_designs_feasible(designs, NULL, 0, ROWS, NULL, 0, &count) == SWEPT_OK && count == feasible, "their number", "refused");
    told(swept_designs_feasible(designs, NULL, 0, ROWS, rows, n, &count) == SWEPT_OK && count == n, "rows that just fit", "refused");
    count = 77, rows[0] = 77;
    told(swept_designs_feasible(designs, NULL, 0, ROWS, rows, n - 1, &count) == SWEPT_WRONG_LENGTH && count == 77 && rows[0] == 77, "too little room", "taken");
    told(swept_designs_feasible(designs, NULL, ROWS, 0, rows, 1, &count) == SWEPT_OK && count == 0, "no rows", "refused");
}

static void best(void) {
    static double found[ROWS];
    static char taken[ROWS];
    size_t count = 0, k;
    int i, up;
    for (up = 0; up < 2; up++) {
        told(swept_designs_best(designs, NULL, "compression_ratio", up, rows, found, 60, &count) == SWEPT_OK && count == 60, "swept_designs_best", "refused");
        memset(taken, 0, sizeof taken);
        for (k = 0; k < count; k++) {
            int first = -1;
            for (i = 0; i < ROWS; i++)
                if (all[i].feasible && !taken[i] && (first < 0 || (up ? all[i].outputs[0] > all[first].outputs[0] : all[i].outputs[0] < all[first].outputs[0]))) first = i;
            told(rows[k] == (uint64_t)first && near(found[k], all[first].outputs[0]), "best", "another design");
            taken[first] = 1;
        }
    }
    told(swept_designs_best(designs, NULL, "displacement", 1, rows, found, ROWS, &count) == SWEPT_OK && count == feasible && near(found[0], all[rows[0]].outputs[1]), "all of them", "refused");
    told(swept_designs_best(designs, NULL, "displacement", 1, NULL, NULL, 0, &count) == SWEPT_OK && count == 0, "best of none", "refused");
}

static void of_rows(void) {
    static const uint64_t some[6] = {0, ROWS - 1, 5, 7, 11, 1234};
    double v[6];
    int i, k;
    told(all[5].engine == 0 && all[7].engine == 0 && all[11].engine == 0 && all[1234].engine, "the rows", "others are no engine");
#define IS(name, form)                                                                     \
    do {                                                                                   \
        told(swept_designs_values(designs, name, some, 6, v) == SWEPT_OK, name, "refused"); \
        for (i = 0; i < 6; i++) {                                                          \
            double want = form;                                                            \
            told(isnan(want) ? isnan(v[i]) : near(v[i], want), name, "another value");     \
        }                                                                                  \
    } while (0)
    IS("bore", bore_mm[some[i]] * 1e-3);
    IS("stroke", stroke_m[some[i]]);
    IS("rod_length", rod_in[some[i]] * 0.0254);
    IS("chamber_volume", chamber_cm3[some[i]] * 1e-6);
    IS("gasket_bore", 0.092);
    IS("speed", 250.0 * PI);
    IS("pin_offset", 0.0);
    for (k = 0; k < 4; k++) IS(OUTPUTS[k], all[some[i]].engine ? all[some[i]].outputs[k] : nan_value);
    told(swept_designs_values(designs, "bore", NULL, 0, NULL) == SWEPT_OK, "no rows", "refused");
}

/* All rows at once, then by blocks, with other threads; what is around the places is left alone. */
static void outputs(void) {
    static const size_t blocks[3] = {ROWS, 1024, 7};
    struct swept_workers workers = {0, NULL, NULL};
    struct swept_designs_counts c;
    size_t b, first;
    int i, k;
    for (b = 0; b < 3; b++) {
        uint64_t sums[3] = {0, 0, 0};
        workers.threads = b;
        memset(flags, 9, sizeof flags);
        for (first = 0; first < ROWS; first += blocks[b]) {
            size_t some = first + blocks[b] > ROWS ? ROWS - first : blocks[b];
            struct swept_output_column columns[4];
            for (k = 0; k < 4; k++) columns[k].output = OUTPUTS[k], columns[k].values = &values[k][first];
            told(swept_designs_outputs(designs, &workers, first, some, columns, 4, flags + first, &c) == SWEPT_OK, "swept_designs_outputs", "refused");
            sums[0] += c.rows, sums[1] += c.feasible, sums[2] += c.refused;
        }
        told(sums[0] == ROWS && sums[1] == feasible && sums[2] == refused, "outputs", "other counts");
        for (i = 0; i < ROWS; i++) {
            told(flags[i] == all[i].feasible, "flags", "another one");
            for (k = 0; k < 4; k++) told(all[i].engine ? near(values[k][i], all[i].outputs[k]) : isnan(values[k][i]), OUTPUTS[k], "another value");
        }
    }
    {
        struct swept_output_column one = {"rod_ratio", values[0] + 10};
        values[0][9] = values[0][13] = flags[0] = 77;
        told(swept_designs_outputs(designs, NULL, 1234, 3, &one, 1, NULL, NULL) == SWEPT_OK && values[0][9] == 77 && values[0][13] == 77 && flags[0] == 77 &&
                 near(values[0][10], all[1234].outputs[3]), "three rows", "more is written");
        told(swept_designs_outputs(designs, NULL, 1234, 3, NULL, 0, flags, &c) == SWEPT_OK && c.rows == 3 && flags[0] == all[1234].feasible, "flags alone", "refused");
        told(swept_designs_outputs(designs, NULL, ROWS, 0, &one, 1, NULL, &c) == SWEPT_OK && c.rows == 0, "no rows", "refused");
    }
}

/* The columns are read where they are: another value is another design. */
static void columns_that_change(void) {
    struct swept_designs_counts c;
    uint64_t before = feasible;
    int i;
    for (i = 0; i < ROWS; i += 2) stroke_m[i] = 0.080;
    look_at_all();
    told(feasible != before && swept_designs_count(designs, NULL, &c) == SWEPT_OK && c.feasible == feasible && c.refused == refused, "other columns", "the old answer");
}

/* The same designs on a grid, in SI: all answers are the same. */
static void as_a_grid(void) {
    static const char *const GRID = "{\"axes\": [{\"figure\": \"rod_length\", \"values\": [\"138 mm\", \"15 cm\", \"143 mm\"]},"
        "{\"figure\": \"bore\", \"from\": \"80 mm\", \"to\": \"90 mm\", \"count\": 21}, {\"figure\": \"stroke\", \"from\": \"70 mm\", \"to\": \"95 mm\", \"step\": \"0.7 mm\"}],"
        "\"fixed\": {\"chamber_volume\": \"38 cm3\", \"cylinders\": \"4\", \"speed\": \"7500 rpm\", \"deck_clearance\": \"0.5 mm\", \"gasket_thickness\": \"1 mm\","
        "\"gasket_bore\": \"92 mm\", \"crown_volume\": \"3 cm3\"}, " LIMITS "}";
    static const char *const names[3] = {"rod_length", "bore", "stroke"};
    static double figures[3][ROWS], by_grid[ROWS], by_rows[ROWS];
    static uint64_t grid_rows[ROWS];
    double chamber = 38e-6;
    struct swept_column columns[4];
    struct swept_study_counts grid_counts;
    struct swept_designs_counts c;
    struct swept_study *grid = NULL;
    struct swept_designs *same = NULL;
    size_t count = 0, n = 0, i, total;
    told(swept_study_new(GRID, strlen(GRID), &grid) == SWEPT_OK && swept_study_count(grid, NULL, &grid_counts) == SWEPT_OK, "a grid", "refused");
    total = (size_t)grid_counts.designs;
    told(total == 3 * 21 * 36 && total <= ROWS && grid_counts.feasible > 100, "a grid", "another one");
    for (i = 0; i < total; i++) rows[i] = i, chamber_cm3[i] = chamber;
    for (i = 0; i < 3; i++) {
        told(swept_study_values(grid, names[i], rows, total, figures[i]) == SWEPT_OK, names[i], "refused");
        columns[i].figure = names[i], columns[i].unit = NULL, columns[i].values = figures[i], columns[i].count = total;
    }
    columns[3].figure = "chamber_volume", columns[3].unit = "m3", columns[3].values = chamber_cm3, columns[3].count = total;
    told(swept_designs_from_columns(TEXT, strlen(TEXT), columns, 4, &same) == SWEPT_OK, "its columns", "refused");
    told(swept_designs_count(same, NULL, &c) == SWEPT_OK && c.rows == total && c.feasible == grid_counts.feasible && c.refused == 0, "its columns", "another count");
    told(swept_study_best(grid, NULL, "compression_ratio", 1, grid_rows, by_grid, total, &n) == SWEPT_OK && swept_designs_best(same, NULL, "compression_ratio", 1, rows, by_rows, total, &count) == SWEPT_OK && count == n,
         "best of both", "another number");
    for (i = 0; i < n; i++) told(near(by_rows[i], by_grid[i]), "best of both", "another value");
    swept_designs_free(same);
    swept_study_free(grid);
}

/* Of strokes from 70 to 95 mm, those up to a bore from 80 to 90 mm are 15 of 25 on average; each row is where the sequence has it. */
static void scattered(void) {
    static const char *const SCATTER = "{\"ranges\": [{\"figure\": \"bore\", \"from\": \"80 mm\", \"to\": \"90 mm\"}, {\"figure\": \"stroke\", \"from\": \"70 mm\", \"to\": \"95 mm\"}],"
        "\"designs\": 1000000, \"fixed\": {\"cylinders\": \"4\"}, \"limits\": {\"bore_stroke_ratio\": {\"lower\": \"1\"}}}";
    const uint64_t first = 999000;
    static double ratio[1000], displacement[1000], b[1000], s[1000];
    struct swept_output_column columns[2] = {{"bore_stroke_ratio", ratio}, {"displacement", displacement}};
    struct swept_designs *many = NULL;
    struct swept_designs_counts c;
    struct swept_study_exclusion e;
    uint64_t sum = 0, at;
    size_t count = 0, i, n = 0;
    double value = 0.0;
    told(swept_designs_from_scatter(SCATTER, strlen(SCATTER), &many) == SWEPT_OK && many != NULL, "swept_designs_from_scatter", "refused");
    told(swept_designs_count(many, NULL, &c) == SWEPT_OK && c.rows == 1000000 && c.refused == 0 && fabs((double)c.feasible / 1e6 - 0.6) < 1e-4, "scattered designs", "not evenly");
    told(swept_designs_excluded(many, NULL, &e, 1, &count) == SWEPT_OK && count == 1 && e.designs == 1000000 - c.feasible, "scattered designs", "other limits");
    for (at = 0; at < 1000000; at += 250000) {
        told(swept_designs_feasible(many, NULL, at, 250000, NULL, 0, &count) == SWEPT_OK, "a block", "refused");
        sum += count;
    }
    told(sum == c.feasible, "blocks", "another number than of all");
    for (i = 0; i < 1000; i++) rows[i] = first + i;
    told(swept_designs_values(many, "bore", rows, 1000, b) == SWEPT_OK && swept_designs_values(many, "stroke", rows, 1000, s) == SWEPT_OK, "figures of rows", "refused");
    told(swept_designs_outputs(many, NULL, first, 1000, columns, 2, flags, &c) == SWEPT_OK && c.rows == 1000, "the last rows", "refused");
    for (i = 0; i < 1000; i++) {
        /* The fractional part of the row's number from 1 times the golden ratio. */
        double share = (double)(((first + i + 1) * 0x9e3779b97f4a7c15u) >> 12) / 4503599627370496.0;
        told(near(b[i], 0.080 + 0.010 * share), "bore of a row", "another one");
        told(near(ratio[i], b[i] / s[i]) && near(displacement[i], PI * b[i] * b[i] * s[i]) && flags[i] == (b[i] >= s[i]), "outputs of a row", "other ones");
    }
    told(swept_designs_feasible(many, NULL, first, 1000, rows, 1000, &count) == SWEPT_OK, "the last rows", "refused");
    for (i = 0; i < 1000; i++)
        if (flags[i]) told(n < count && rows[n] == first + i, "the last rows", "others"), n++;
    told(n == count, "the last rows", "another number");
    told(swept_designs_best(many, NULL, "displacement", 1, rows, &value, 1, &count) == SWEPT_OK && count == 1 && value > PI * 0.0895 * 0.0895 * 0.0895, "the best", "refused");
    swept_designs_free(many);
}

int main(void) {
    struct swept_column columns[4];
    int i;
    nan_value = strtod("nan", NULL);
    columns[0].figure = "bore", columns[0].unit = "mm", columns[0].values = bore_mm;
    columns[1].figure = "stroke", columns[1].unit = NULL, columns[1].values = stroke_m;
    columns[2].figure = "rod_length", columns[2].unit = "in", columns[2].values = rod_in;
    columns[3].figure = "chamber_volume", columns[3].unit = "cm3", columns[3].values = chamber_cm3;
    for (i = 0; i < 4; i++) columns[i].count = ROWS;
    fill();
    if (swept_designs_from_columns(TEXT, strlen(TEXT), columns, 4, &designs) != SWEPT_OK) {
        fprintf(stderr, "%s\n", swept_last_error_message());
        return 1;
    }
    memset(columns, 0, sizeof columns);
    counts();
    feasible_rows();
    best();
    of_rows();
    outputs();
    columns_that_change();
    swept_designs_free(designs);
    as_a_grid();
    scattered();
    swept_designs_free(NULL);
    if (failures == 0) puts("designs in columns and scattered: all as every row looked at by itself");
    return failures != 0;
}
