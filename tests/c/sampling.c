/* Samples against their own values taken one by one, closed forms of moments and of Sobol's indices, and the slopes at the means. */
#include "check.h"
#include <string.h>

#define SAMPLES 40000
static const char *TEXT =
    "{\"readings\": {\"stroke\": {\"uniform\": {\"low\": \"80 mm\", \"high\": \"92 mm\"}}, \"bore\": {\"normal\": {\"mean\": \"86 mm\", \"deviation\": \"2 mm\"}},"
    "\"gasket_thickness\": {\"normal\": {\"mean\": \"0.6 mm\", \"deviation\": \"0.3 mm\"}}},"
    "\"fixed\": {\"cylinders\": \"4\", \"deck_clearance\": \"0.1 mm\"}, \"seed\": 7,"
    "\"limits\": {\"displacement\": {\"lower\": \"1900 cm3\", \"upper\": \"2150 cm3\"}, \"piston_to_head\": {\"lower\": \"0.5 mm\"}}}";
static const char *const OUTPUTS[2] = {"displacement", "piston_to_head"};
static struct swept_sampling *sampling;
static double bore[SAMPLES], stroke[SAMPLES], gasket[SAMPLES], value[2][SAMPLES], some[SAMPLES];

static struct swept_sampling *sampling_of(const char *text) {
    struct swept_sampling *made = NULL;
    told(swept_sampling_new(text, strlen(text), &made) == SWEPT_OK && made != NULL, "swept_sampling_new", text);
    return made;
}

static double mean_of(const double *x, size_t n) {
    double sum = 0.0;
    size_t i;
    for (i = 0; i < n; i++) sum += x[i] - x[0];
    return x[0] + sum / (double)n;
}

static double deviation_of(const double *x, size_t n) {
    double mean = mean_of(x, n), sum = 0.0;
    size_t i;
    for (i = 0; i < n; i++) sum += (x[i] - mean) * (x[i] - mean);
    return sqrt(sum / (double)n);
}

static int rising(const void *a, const void *b) {
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* What is drawn has the moments of its distribution, and each output is the formula of what is drawn. */
static void draws_and_values(void) {
    struct swept_workers workers = {3, NULL, NULL};
    double root = sqrt((double)SAMPLES), parts[10];
    size_t i, refused = 0;
    told(swept_sampling_draws(sampling, NULL, "bore", 0, bore, SAMPLES) == SWEPT_OK && swept_sampling_draws(sampling, &workers, "stroke", 0, stroke, SAMPLES) == SWEPT_OK &&
             swept_sampling_draws(sampling, NULL, "gasket_thickness", 0, gasket, SAMPLES) == SWEPT_OK, "swept_sampling_draws", "refused");
    told(fabs(mean_of(bore, SAMPLES) - 0.086) < 5.0 * 0.002 / root && fabs(deviation_of(bore, SAMPLES) - 0.002) < 5.0 * 0.002 / root / sqrt(2.0), "normal", "other moments");
    told(fabs(mean_of(stroke, SAMPLES) - 0.086) < 5.0 * 0.012 / sqrt(12.0) / root && fabs(deviation_of(stroke, SAMPLES) / (0.012 / sqrt(12.0)) - 1.0) < 5.0 / root, "uniform", "other moments");
    for (i = 0; i < 2; i++) told(swept_sampling_values(sampling, &workers, OUTPUTS[i], 0, value[i], SAMPLES) == SWEPT_OK, OUTPUTS[i], "refused");
    for (i = 0; i < SAMPLES; i++) {
        told(stroke[i] >= 0.080 - 1e-15 && stroke[i] <= 0.092 + 1e-15, "uniform", "outside");
        if (gasket[i] < 0.0) {
            told(isnan(value[0][i]) && isnan(value[1][i]), "no design", "a value");
            refused++;
        } else
            told(near(value[0][i], PI * bore[i] * bore[i] * stroke[i]) && near(value[1][i], gasket[i] + 0.0001), "a sample", "another value");
    }
    /* Of a normal reading, as many are below the mean by two deviations and more as the distribution has: 2.275 in a hundred. */
    told(refused > 800 && refused < 1020, "no design", "another share");
    told(swept_sampling_values(sampling, NULL, "displacement", 12345, parts, 10) == SWEPT_OK && swept_sampling_draws(sampling, NULL, "bore", 12345, some, 10) == SWEPT_OK, "some samples", "refused");
    for (i = 0; i < 10; i++) told(some[i] == bore[12345 + i] && (parts[i] == value[0][12345 + i] || isnan(value[0][12345 + i])), "some samples", "others than of all");
    told(swept_sampling_values(sampling, NULL, "displacement", 0, NULL, 0) == SWEPT_OK, "no samples", "refused");
}

static int is_share(const struct swept_share *share, uint64_t count, uint64_t of) {
    double n = (double)of + 4.0, p = ((double)count + 2.0) / n;
    return share->count == count && share->of == of && near(share->share, (double)count / (double)of) && near(share->error, sqrt(p * (1.0 - p) / n));
}

static void statistics(void) {
    static const double probabilities[4] = {0.0, 0.025, 0.5, 0.999};
    static const double low[2] = {1900e-6, 0.0005}, high[2] = {2150e-6, 1.0};
    struct swept_workers workers = {0, NULL, NULL};
    struct swept_samples s;
    struct swept_spread spread[2];
    struct swept_quantile q[2][4];
    uint64_t hold = 0, outside, possible = 0;
    size_t i, k, j;
    for (i = 0; i < SAMPLES; i++) {
        possible += gasket[i] >= 0.0;
        hold += value[0][i] >= low[0] && value[0][i] <= high[0] && value[1][i] >= low[1];
    }
    for (workers.threads = 0; workers.threads < 4; workers.threads++) {
        memset(spread, 0, sizeof spread);
        memset(q, 0, sizeof q);
        told(swept_sampling_sample(sampling, &workers, SAMPLES, OUTPUTS, 2, probabilities, 4, &s, spread, q[0]) == SWEPT_OK, "swept_sampling_sample", "refused");
        told(s.impossible == SAMPLES - possible && is_share(&s.feasible, hold, possible), "all limits", "another share");
        for (k = 0; k < 2; k++) {
            size_t n = 0;
            double mean, deviation, fourth = 0.0;
            for (i = 0, outside = 0; i < SAMPLES; i++)
                if (!isnan(value[k][i])) some[n++] = value[k][i], outside += value[k][i] < low[k] || value[k][i] > high[k];
            mean = mean_of(some, n), deviation = deviation_of(some, n);
            for (i = 0; i < n; i++) fourth += pow((some[i] - mean) / deviation, 4.0) / (double)n;
            told(!strcmp(spread[k].output, OUTPUTS[k]) && spread[k].used == n && spread[k].refused == SAMPLES - n, OUTPUTS[k], "another number");
            told(near(spread[k].mean, mean) && near(spread[k].deviation, deviation), OUTPUTS[k], "other moments");
            told(fabs(spread[k].mean_error / (deviation / sqrt((double)n)) - 1.0) < 1e-3, OUTPUTS[k], "another error of the mean");
            told(fabs(spread[k].deviation_error / (deviation / 2.0 * sqrt((fourth - 1.0) / (double)n)) - 1.0) < 1e-3, OUTPUTS[k], "another error of the deviation");
            told(is_share(&spread[k].outside, outside, n), OUTPUTS[k], "another share outside");
            qsort(some, n, sizeof some[0], rising);
            for (j = 0; j < 4; j++) {
                double at = probabilities[j] * (double)(n - 1), first = floor(at), last = first + 1.0 > (double)(n - 1) ? first : first + 1.0;
                double want = some[(size_t)first] + (at - first) * (some[(size_t)last] - some[(size_t)first]);
                told(q[k][j].probability == probabilities[j] && near(q[k][j].value, want), OUTPUTS[k], "another quantile");
            }
            told(isnan(q[k][0].error) && q[k][2].error > 0.0 && q[k][2].error < 3.0 * deviation / sqrt((double)n), OUTPUTS[k], "another error of a quantile");
        }
    }
    told(swept_sampling_sample(sampling, NULL, 100, OUTPUTS, 2, NULL, 0, &s, spread, NULL) == SWEPT_OK && spread[0].used + spread[0].refused == 100, "no quantiles", "refused");
    told(swept_sampling_sample(sampling, NULL, SAMPLES, NULL, 0, NULL, 0, &s, NULL, NULL) == SWEPT_OK && is_share(&s.feasible, hold, possible), "no outputs", "refused");
}

/* Without limits there is no share of what holds them. */
static void no_limits(void) {
    struct swept_sampling *free_one = sampling_of("{\"readings\": {\"bore\": {\"triangular\": {\"low\": \"80 mm\", \"mode\": \"81 mm\", \"high\": \"86 mm\"}},"
        "\"stroke\": {\"truncated\": {\"mean\": \"86 mm\", \"deviation\": \"1 mm\", \"low\": \"86 mm\", \"high\": \"89 mm\"}}}}");
    static const char *const ratio = "bore_stroke_ratio";
    struct swept_samples s;
    struct swept_spread spread;
    double half = sqrt(2.0 / PI) * 0.001;
    told(swept_sampling_sample(free_one, NULL, SAMPLES, &ratio, 1, NULL, 0, &s, &spread, NULL) == SWEPT_OK && s.impossible == 0 && s.feasible.count == 0 && s.feasible.of == 0 &&
             isnan(s.feasible.share) && isnan(s.feasible.error) && isnan(spread.outside.share) && spread.used == SAMPLES, "no limits", "a share");
    told(swept_sampling_draws(free_one, NULL, "bore", 0, some, SAMPLES) == SWEPT_OK && fabs(mean_of(some, SAMPLES) - 0.247 / 3.0) < 3e-5, "triangular", "another mean");
    /* Half a normal distribution, but for one in 370 that is beyond three deviations. */
    told(swept_sampling_draws(free_one, NULL, "stroke", 0, some, SAMPLES) == SWEPT_OK && fabs(mean_of(some, SAMPLES) - 0.086 - half) < 2e-5, "truncated", "another mean");
    swept_sampling_free(free_one);
}

/* Of a product X Y of independent factors the indices have a closed form: X = bore^2, Y = stroke. */
static void sensitivity(void) {
    struct swept_sampling *product = sampling_of("{\"readings\": {\"stroke\": {\"uniform\": {\"low\": \"30 mm\", \"high\": \"150 mm\"}},"
        "\"bore\": {\"uniform\": {\"low\": \"40 mm\", \"high\": \"130 mm\"}}, \"rod_length\": {\"uniform\": {\"low\": \"140 mm\", \"high\": \"150 mm\"}}}}");
    static const char *const outputs[2] = {"swept_volume", "rod_ratio"};
    static const char *const readings[3] = {"bore", "stroke", "rod_length"};
    struct swept_workers workers = {2, NULL, NULL};
    struct swept_sensitivity s[7];
    double x = (pow(130.0, 3.0) - pow(40.0, 3.0)) / 3.0 / 90.0, vx = (pow(130.0, 5.0) - pow(40.0, 5.0)) / 5.0 / 90.0 - x * x, y = 90.0, vy = 1200.0;
    double v = vx * vy + vx * y * y + vy * x * x, first[2], total[2];
    size_t count = 0, i;
    first[0] = vx * y * y / v, first[1] = vy * x * x / v;
    total[0] = first[0] + vx * vy / v, total[1] = first[1] + vx * vy / v;
    told(swept_sampling_sensitivity(product, &workers, 200000, outputs, 2, s, 7, &count) == SWEPT_OK && count == 6, "swept_sampling_sensitivity", "refused");
    for (i = 0; i < 6; i++) told(!strcmp(s[i].output, outputs[i / 3]) && !strcmp(s[i].reading, readings[i % 3]) && s[i].used == 200000 && s[i].refused == 0, "sensitivity", "other rows");
    told(vx * vy / v > 0.05, "indices", "no part is of both");
    for (i = 0; i < 2; i++) {
        told(s[i].first_error > 0.0 && s[i].first_error < 0.005 && fabs(s[i].first - first[i]) < 5.0 * s[i].first_error, readings[i], "another first index");
        told(s[i].total_error > 0.0 && s[i].total_error < 0.005 && fabs(s[i].total - total[i]) < 5.0 * s[i].total_error, readings[i], "another total index");
    }
    told(s[2].first == 0.0 && s[2].total == 0.0 && s[3].first == 0.0 && s[3].total == 0.0, "a reading that is not taken", "a share");
    told(s[4].total > 0.9 && s[5].total > 0.0 && s[5].total < 0.1, "rod ratio", "other shares");
    swept_sampling_free(product);
}

/* By slopes over one standard uncertainty to either side. */
static void linear(void) {
    struct swept_linear l;
    struct swept_contribution c[4];
    size_t count = 0;
    double us = 0.012 / sqrt(12.0), cb = PI * 0.086 * 2.0 * 0.086 * 0.002, cs = PI * 0.086 * 0.086 * us, u = sqrt(cb * cb + cs * cs);
    told(swept_sampling_linear(sampling, "displacement", &l, c, 4, &count) == SWEPT_OK && count == 3, "swept_sampling_linear", "refused");
    told(near(l.value, PI * 0.086 * 0.086 * 0.086) && near(l.standard_uncertainty, u), "linear", "another uncertainty");
    told(!strcmp(c[0].reading, "bore") && near(c[0].contribution, cb) && near(c[0].share, cb * cb / u / u), "linear", "bore");
    told(!strcmp(c[1].reading, "stroke") && near(c[1].contribution, cs) && near(c[1].share, cs * cs / u / u), "linear", "stroke");
    told(!strcmp(c[2].reading, "gasket_thickness") && c[2].contribution == 0.0 && c[2].share == 0.0, "linear", "gasket");
}

/* Normal readings have the coefficient that was given. */
static void correlated(void) {
    struct swept_sampling *pair = sampling_of("{\"readings\": {\"bore\": {\"normal\": {\"mean\": \"86 mm\", \"deviation\": \"1 mm\"}},"
        "\"stroke\": {\"normal\": {\"mean\": \"90 mm\", \"deviation\": \"2 mm\"}}}, \"correlations\": [[\"bore\", \"stroke\", -0.8]]}");
    double sum = 0.0;
    size_t i;
    told(swept_sampling_draws(pair, NULL, "bore", 0, bore, SAMPLES) == SWEPT_OK && swept_sampling_draws(pair, NULL, "stroke", 0, stroke, SAMPLES) == SWEPT_OK, "a pair", "refused");
    for (i = 0; i < SAMPLES; i++) sum += (bore[i] - 0.086) / 0.001 * (stroke[i] - 0.090) / 0.002;
    told(fabs(sum / SAMPLES + 0.8) < 5.0 * sqrt(1.64 / SAMPLES), "a pair", "another coefficient");
    swept_sampling_free(pair);
}

int main(void) {
    nan_value = strtod("nan", NULL);
    sampling = sampling_of(TEXT);
    if (!sampling) return 1;
    draws_and_values();
    statistics();
    no_limits();
    sensitivity();
    linear();
    correlated();
    swept_sampling_free(sampling);
    swept_sampling_free(NULL);
    if (failures == 0) puts("samples: all as their values one by one and closed forms");
    return failures != 0;
}
