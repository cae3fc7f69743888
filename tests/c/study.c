/* Studies against every design looked at one by one, with closed forms. */
#include "check.h"
#include <string.h>

#define RODS 3
#define BORES 41
#define STROKES 51
#define ALL (RODS * BORES * STROKES)

static const char *TEXT =
    "{\"axes\": [{\"figure\": \"rod_length\", \"values\": [\"138 mm\", \"15 cm\", \"143 mm\"]},"
    "{\"figure\": \"bore\", \"from\": \"80 mm\", \"to\": \"90 mm\", \"count\": 41},"
    "{\"figure\": \"stroke\", \"from\": \"70 mm\", \"to\": \"95 mm\", \"step\": \"0.5 mm\"}],"
    "\"fixed\": {\"cylinders\": \"4\", \"speed\": \"7500 rpm\", \"bore_spacing\": \"96 mm\", \"reciprocating_mass\": \"512 g\"},"
    "\"limits\": {\"mean_piston_speed\": {\"upper\": \"21.8 m/s\"}, \"wall_between_bores\": {\"lower\": \"8.1 mm\"},"
    "\"rod_ratio\": {\"lower\": \"1.6001\"}, \"displacement\": {\"lower\": \"1500.3 cm3\", \"upper\": \"2000.7 cm3\"}}}";

struct design {
    double rod, bore, stroke, displacement, speed, wall, ratio;
    int feasible;
};
static struct design all[ALL];
static size_t feasible;
static struct swept_study *study;
static uint64_t rows[ALL];
static double values[3 * ALL];

static struct swept_study *study_of(const char *text) {
    struct swept_study *made = NULL;
    told(swept_study_new(text, strlen(text), &made) == SWEPT_OK && made != NULL, "swept_study_new", text);
    return made;
}

/* Every design by closed forms in SI; no limit falls on one, so that rounding decides nothing. */
static void look_at_all(void) {
    static const double rods[RODS] = {0.138, 0.150, 0.143};
    int i, j, k;
    for (i = 0; i < RODS; i++)
        for (j = 0; j < BORES; j++)
            for (k = 0; k < STROKES; k++) {
                struct design *d = &all[(i * BORES + j) * STROKES + k];
                d->rod = rods[i];
                d->bore = 0.080 + 0.00025 * j;
                d->stroke = 0.070 + 0.0005 * k;
                d->displacement = 4.0 * PI / 4.0 * d->bore * d->bore * d->stroke;
                d->speed = 2.0 * d->stroke * 7500.0 / 60.0;
                d->wall = 0.096 - d->bore;
                d->ratio = d->rod / d->stroke;
                d->feasible = d->speed <= 21.8 && d->wall >= 0.0081 && d->ratio >= 1.6001 && d->displacement >= 1500.3e-6 && d->displacement <= 2000.7e-6;
                feasible += (size_t)d->feasible;
            }
}

static void counts(void) {
    struct swept_study_counts c;
    struct swept_workers workers = {0, NULL, NULL};
    struct swept_study_exclusion e[4];
    size_t count = 0, i, n[4] = {0, 0, 0, 0};
    for (workers.threads = 0; workers.threads < 4; workers.threads++)
        told(swept_study_count(study, &workers, &c) == SWEPT_OK && c.designs == ALL && c.feasible == feasible && c.designs_rounded == ALL &&
                 c.feasible_rounded == (double)feasible, "swept_study_count", "another count");
    told(feasible > 500 && feasible < ALL / 2, "the study", "too few or too many feasible designs to tell");
    for (i = 0; i < ALL; i++) {
        n[0] += !(all[i].displacement >= 1500.3e-6 && all[i].displacement <= 2000.7e-6);
        n[1] += !(all[i].speed <= 21.8);
        n[2] += !(all[i].ratio >= 1.6001);
        n[3] += !(all[i].wall >= 0.0081);
    }
    told(swept_study_excluded(study, NULL, e, 4, &count) == SWEPT_OK && count == 4, "swept_study_excluded", "other limits");
    told(!strcmp(e[0].output, "displacement") && near(e[0].lower, 1500.3e-6) && near(e[0].upper, 2000.7e-6) && e[0].designs == n[0], "excluded", "displacement");
    told(!strcmp(e[1].output, "mean_piston_speed") && isnan(e[1].lower) && near(e[1].upper, 21.8) && e[1].designs == n[1], "excluded", "speed");
    told(!strcmp(e[2].output, "rod_ratio") && near(e[2].lower, 1.6001) && isnan(e[2].upper) && e[2].designs == n[2], "excluded", "ratio");
    told(!strcmp(e[3].output, "wall_between_bores") && near(e[3].lower, 0.0081) && e[3].designs == n[3] && e[3].designs_rounded == (double)n[3], "excluded", "wall");
}

/* Rows by blocks of a size; how many there are. */
static size_t stream(const struct swept_study *some, size_t block, uint64_t *to) {
    struct swept_study_rows *cursor = NULL;
    struct swept_workers workers = {2, NULL, NULL};
    size_t count = 0, found = 0;
    told(swept_study_rows_new(some, &cursor) == SWEPT_OK && cursor != NULL, "swept_study_rows_new", "no rows");
    for (;;) {
        told(swept_study_rows_next(cursor, &workers, to + found, block, &count) == SWEPT_OK && count <= block, "swept_study_rows_next", "refused");
        found += count;
        if (count < block) break;
    }
    told(swept_study_rows_next(cursor, NULL, to, block, &count) == SWEPT_OK && count == 0, "swept_study_rows_next", "rows after the last");
    swept_study_rows_free(cursor);
    return found;
}

static void streams(void) {
    static uint64_t found[2 * ALL];
    static const size_t blocks[4] = {1, 7, 1000, ALL};
    size_t b, i, n = 0;
    for (i = 0; i < ALL; i++)
        if (all[i].feasible) rows[n++] = i;
    for (b = 0; b < 4; b++)
        told(stream(study, blocks[b], found) == feasible && !memcmp(found, rows, feasible * sizeof rows[0]), "stream", "other rows");
    for (b = 1; b <= 5; b += 2) {
        struct swept_study_counts c;
        uint64_t sum = 0;
        for (i = n = 0; i < b; i++) {
            struct swept_study *part = NULL;
            told(swept_study_partition(study, i, b, &part) == SWEPT_OK, "swept_study_partition", "refused");
            told(swept_study_count(part, NULL, &c) == SWEPT_OK, "swept_study_count", "refused");
            sum += c.feasible;
            n += stream(part, 100, found + n);
            swept_study_free(part);
        }
        told(sum == feasible && n == feasible && !memcmp(found, rows, feasible * sizeof rows[0]), "parts", "other rows than the whole");
    }
}

static void best(void) {
    size_t count = 0, k, i;
    char taken[ALL] = {0};
    told(swept_study_best(study, NULL, "displacement", 1, rows, values, 40, &count) == SWEPT_OK && count == 40, "swept_study_best", "refused");
    for (k = 0; k < 40; k++) {
        size_t first = ALL;
        for (i = 0; i < ALL; i++)
            if (all[i].feasible && !taken[i] && (first == ALL || all[i].displacement > all[first].displacement * (1.0 + 1e-12))) first = i;
        told(rows[k] == first && near(values[k], all[first].displacement), "best", "another design");
        taken[first] = 1;
    }
    told(swept_study_best(study, NULL, "rod_ratio", 0, rows, values, ALL, &count) == SWEPT_OK && count == feasible, "least rod ratio", "refused");
    for (k = 0; k < count; k++)
        told(all[rows[k]].feasible && near(values[k], all[rows[k]].ratio) && (k == 0 || values[k] > values[k - 1] || (values[k] == values[k - 1] && rows[k] > rows[k - 1])),
             "least rod ratio", "not in order");
    told(swept_study_best(study, NULL, "rod_ratio", 0, NULL, NULL, 0, &count) == SWEPT_OK && count == 0, "best of none", "refused");
}

/* Whether another is as good in all three objectives and better in one, or the same and of a lower row. */
static int beats(const struct design *a, const struct design *b) {
    double e = 1e-12;
    int as_good = a->displacement >= b->displacement * (1.0 - e) && a->speed <= b->speed * (1.0 + e) && a->ratio >= b->ratio * (1.0 - e);
    int better = a->displacement > b->displacement * (1.0 + e) || a->speed < b->speed * (1.0 - e) || a->ratio > b->ratio * (1.0 + e);
    return as_good && (better || a < b);
}

static void front(void) {
    struct swept_study_objective o[3] = {{"displacement", 1}, {"mean_piston_speed", 0}, {"rod_ratio", 1}};
    size_t count = 0, counted = 0, n = 0, i, j;
    char is_in[ALL] = {0};
    told(swept_study_pareto(study, NULL, o, 3, NULL, NULL, 0, &counted) == SWEPT_OK && counted > 10, "swept_study_pareto", "too few");
    told(swept_study_pareto(study, NULL, o, 3, rows, values, ALL, &count) == SWEPT_OK && count == counted, "swept_study_pareto", "refused");
    for (i = 0; i < count; i++) {
        const struct design *d = &all[rows[i]];
        told(near(values[3 * i], d->displacement) && near(values[3 * i + 1], d->speed) && near(values[3 * i + 2], d->ratio), "front", "other objectives");
        told(i == 0 || values[3 * i] <= values[3 * i - 3], "front", "not the best by the first objective first");
        is_in[rows[i]] = 1;
    }
    for (i = 0; i < ALL; i++) {
        int beaten = !all[i].feasible;
        for (j = 0; j < ALL && !beaten; j++) beaten = all[j].feasible && j != i && beats(&all[j], &all[i]);
        n += !beaten;
        told(beaten == !is_in[i], "front", "another design");
    }
    told(n == count, "front", "another number of designs");
    told(swept_study_pareto(study, NULL, o, 3, rows, values, count, &count) == SWEPT_OK && count == n, "a front that just fits", "refused");
    i = 77;
    told(swept_study_pareto(study, NULL, o, 3, rows, values, count - 1, &i) == SWEPT_WRONG_LENGTH && i == 77, "too little room", "taken");
}

static void of_rows(void) {
    static const uint64_t some[4] = {0, ALL - 1, 2222, 2222};
    static const char *const names[4] = {"bore", "stroke", "rod_length", "reciprocating_mass"};
    int i, n;
    for (n = 0; n < 4; n++) {
        told(swept_study_values(study, names[n], some, 4, values) == SWEPT_OK, names[n], "refused");
        for (i = 0; i < 4; i++) {
            const struct design *d = &all[some[i]];
            double want[4];
            want[0] = d->bore, want[1] = d->stroke, want[2] = d->rod, want[3] = 0.512;
            told(near(values[i], want[n]), names[n], "another figure");
        }
    }
#define IS(name, form)                                                                     \
    do {                                                                                   \
        told(swept_study_values(study, name, some, 4, values) == SWEPT_OK, name, "refused"); \
        for (i = 0; i < 4; i++) {                                                          \
            const struct design *d = &all[some[i]];                                        \
            told(near(values[i], form), name, "another value");                            \
        }                                                                                  \
    } while (0)
    IS("displacement", d->displacement);
    IS("swept_volume", d->displacement / 4.0);
    IS("mean_piston_speed", d->speed);
    IS("wall_between_bores", d->wall);
    IS("rod_ratio", d->ratio);
    IS("bore_stroke_ratio", d->bore / d->stroke);
    IS("peak_rod_angle", asin(d->stroke / 2.0 / d->rod));
#define PEAK (d->stroke / 2.0 * (250.0 * PI) * (250.0 * PI) * (1.0 + d->stroke / 2.0 / d->rod))
    IS("peak_acceleration", PEAK);
    IS("peak_inertia_force", 0.512 * PEAK);
    told(swept_study_values(study, "bore", NULL, 0, NULL) == SWEPT_OK, "no rows", "refused");
}

/* Each name is known to a study, and a study without a volume has no ratio. */
static void names(void) {
    uint64_t row = 0;
    double value = 0.0;
    size_t i;
    const char *name;
    struct swept_study *solid = study_of("{\"axes\": [{\"figure\": \"bore\", \"values\": [\"86 mm\"]}], \"fixed\": {\"stroke\": \"86 mm\","
        "\"rod_length\": \"143 mm\", \"deck_clearance\": \"0 mm\", \"gasket_thickness\": \"1 mm\", \"gasket_bore\": \"87 mm\","
        "\"chamber_volume\": \"40 cm3\", \"crown_volume\": \"-60 cm3\"}}");
    for (i = 0; (name = swept_study_output_name(i)) != NULL; i++) {
        int status = swept_study_values(study, name, &row, 1, &value);
        told(status == SWEPT_OK || status == SWEPT_MISSING_KEY, name, "no output");
    }
    told(i >= 14 && swept_study_output_name(i) == NULL && swept_study_output_name((size_t)-1) == NULL, "names of outputs", "too few");
    for (i = 0; (name = swept_study_figure_name(i)) != NULL; i++) {
        int status = swept_study_values(study, name, &row, 1, &value);
        told(status == SWEPT_OK || status == SWEPT_MISSING_KEY, name, "no figure");
    }
    told(i >= 17 && !strcmp(swept_study_figure_name(0), "bore") && swept_study_figure_name((size_t)-1) == NULL, "names of figures", "too few");
    told(swept_study_values(solid, "compression_ratio", &row, 1, &value) == SWEPT_OK && isnan(value), "no volume", "a ratio");
    GIVES(swept_study_values(solid, "deck_clearance", &row, 1, &out), 0.0);
    REFUSES(swept_study_values(solid, "mean_piston_speed", &row, 1, &out), SWEPT_MISSING_KEY);
    swept_study_free(solid);
}

int main(void) {
    nan_value = strtod("nan", NULL);
    study = study_of(TEXT);
    if (!study) return 1;
    look_at_all();
    counts();
    streams();
    best();
    front();
    of_rows();
    names();
    swept_study_free(study);
    swept_study_free(NULL);
    swept_study_rows_free(NULL);
    if (failures == 0) puts("studies: all as every design looked at one by one");
    return failures != 0;
}
