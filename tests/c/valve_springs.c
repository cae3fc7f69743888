/* Valve springs and their control of the valve: values against closed forms, then bad pointers, numbers, counts. */
#include "lobe.h"

/* 40 N/mm, 300 N at 40 mm, solid at 26 mm, installed at 40 mm; inside it 18 N/mm, 87 N at 38 mm, solid at 22 mm, installed at 38 mm. */
static struct swept_installed_spring pair[2] = {{{40e3, 0.040, 300.0, 0.026}, 0.040}, {{18e3, 0.038, 87.0, 0.022}, 0.038}};

static void one_spring(void) {
    struct swept_valve_spring s = pair[0].spring, read;
    struct swept_installed_spring i = {{40e3, 0.040, 300.0, 0.026}, 0.041}, shimmed;
    double n[5] = {0.040, 300.0, 0.030, 700.0, 0.026};
    OF_4(swept_spring_rate_from_readings, 0.040, 300.0, 0.030, 700.0, 40e3);
    REFUSES(swept_spring_rate_from_readings(0.040, 300.0, 0.040, 700.0, &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_spring_rate_from_readings(0.040, 300.0, 0.030, 200.0, &out), SWEPT_OUT_OF_RANGE);
#define FROM_READINGS(place) swept_valve_spring_from_readings(n[0], n[1], n[2], n[3], n[4], place)
    told(FROM_READINGS(&read) == SWEPT_OK && near(read.rate_n_per_m, 40e3) && read.height_m == 0.040 && read.load_n == 300.0 && read.solid_height_m == 0.026,
         "swept_valve_spring_from_readings", "another spring");
    NO(FROM_READINGS(NULL), SWEPT_NULL_POINTER);
    EACH_NUMBER(n, read, FROM_READINGS(&read));
    GIVES(swept_spring_free_height(&s, &out), 0.0475);
    GIVES(swept_spring_load_at(&s, 0.030, &out), 700.0);
    GIVES(swept_spring_height_at(&s, 700.0, &out), 0.030);
    REFUSES(swept_spring_load_at(&s, 0.025, &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_spring_height_at(&s, 900.0, &out), SWEPT_OUT_OF_RANGE);
    HOSTILE(swept_spring_free_height, s, out);
    HOSTILE_1(swept_spring_load_at, s, 0.030, out);
    HOSTILE_1(swept_spring_height_at, s, 700.0, out);
    GIVES(swept_spring_shim_for(&i, 320.0, &out), 0.0015);
    told(swept_spring_shimmed(&i, 0.0015, &shimmed) == SWEPT_OK && near(shimmed.installed_height_m, 0.0395) && shimmed.spring.load_n == 300.0, "a shim", "another height");
    LEAVES(shimmed, swept_spring_shimmed(&i, 0.020, &shimmed), SWEPT_OUT_OF_RANGE);
    HOSTILE_1(swept_spring_shim_for, i, 320.0, out);
    HOSTILE_1(swept_spring_shimmed, i, 0.0015, shimmed);
    OF_2(swept_retainer_clearance, 0.013, 0.0122, 0.0008);
}

#define HOSTILE_SET(f, extra, place)                                                       \
    do {                                                                                   \
        LEAVES(place, f(NULL, 2 extra, &place), SWEPT_NULL_POINTER);                       \
        NO(f(pair, 2 extra, NULL), SWEPT_NULL_POINTER);                                    \
        LEAVES(place, f(NULL, 0 extra, &place), SWEPT_WRONG_LENGTH);                       \
        LEAVES(place, f(pair, HUGE_COUNT extra, &place), SWEPT_WRONG_LENGTH);              \
        EACH_NUMBER(pair, place, f(pair, 2 extra, &place));                                \
    } while (0)
#define LIFT , lift[0]
#define NOTHING

static void set(void) {
    struct swept_spring_set s;
    double lift[1] = {0.010};
    told(swept_springs_together(pair, 2, &s) == SWEPT_OK && near(s.rate_n_per_m, 58e3) && near(s.seat_load_n, 387.0) && near(s.lift_to_bind_m, 0.014), "nested", "other figures");
    GIVES(swept_springs_load(pair, 2, lift[0], &out), 967.0);
    GIVES(swept_springs_coil_bind_margin(pair, 2, 0.015, &out), -0.001);
    REFUSES(swept_springs_load(pair, 2, 0.0141, &out), SWEPT_OUT_OF_RANGE);
    HOSTILE_SET(swept_springs_together, NOTHING, s);
    HOSTILE_SET(swept_springs_load, LIFT, out);
    HOSTILE_SET(swept_springs_coil_bind_margin, LIFT, out);
    EACH_NUMBER(lift, out, swept_springs_load(pair, 2, lift[0], &out));
    EACH_NUMBER(lift, out, swept_springs_coil_bind_margin(pair, 2, lift[0], &out));
}

/* Shigley, Mechanical Engineering Design, eqs. 10-4 to 10-9 and 10-25 (from memory). */
static void wire(void) {
    struct swept_helical_spring s = {0.004, 0.028, 5.0, 7.0};
    struct swept_helical_figures f;
    struct swept_train_masses m = {0.100, 0.030, 0.090, 0.050, 0.180, 1.5};
    double g = 78.5e9, n[2] = {500.0, 1.2};
    GIVES(swept_helical_spring_rate(&s, g, &out), g * pow(0.004, 4.0) / (8.0 * pow(0.028, 3.0) * 5.0));
    told(swept_helical_spring_figures(&s, &f) == SWEPT_OK && near(f.index, 7.0) && near(f.wahl_factor, 27.0 / 24.0 + 0.615 / 7.0) &&
             near(f.bergstraesser_factor, 30.0 / 25.0) && near(f.solid_height_m, 0.028), "a helical spring", "other figures");
    GIVES(swept_helical_spring_active_mass(&s, 7850.0, &out), PI * PI * 0.004 * 0.004 * 0.028 * 5.0 * 7850.0 / 4.0);
    GIVES(swept_helical_spring_shear_stress(&s, n[0], n[1], &out), 1.2 * 8.0 * 500.0 * 0.028 / (PI * pow(0.004, 3.0)));
    HOSTILE_1(swept_helical_spring_rate, s, 78.5e9, out);
    HOSTILE(swept_helical_spring_figures, s, f);
    HOSTILE_1(swept_helical_spring_active_mass, s, 7850.0, out);
    REFUSES(swept_helical_spring_shear_stress(NULL, n[0], n[1], &out), SWEPT_NULL_POINTER);
    REFUSES(swept_helical_spring_shear_stress(&s, n[0], n[1], NULL), SWEPT_NULL_POINTER);
    EACH_NUMBER(s, out, swept_helical_spring_shear_stress(&s, n[0], n[1], &out));
    EACH_NUMBER(n, out, swept_helical_spring_shear_stress(&s, n[0], n[1], &out));
    OF_2(swept_surge_frequency, 40e3, 0.05, 0.5 * sqrt(40e3 / 0.05));
    n[0] = 450.0, n[1] = 200.0 * PI;
    GIVES(swept_harmonic_frequency_ratio(n[0], n[1], 6, &out), 1.5);
    REFUSES(swept_harmonic_frequency_ratio(n[0], n[1], 0, &out), SWEPT_OUT_OF_RANGE);
    REFUSES(swept_harmonic_frequency_ratio(n[0], n[1], 6, NULL), SWEPT_NULL_POINTER);
    EACH_NUMBER(n, out, swept_harmonic_frequency_ratio(n[0], n[1], 6, &out));
    GIVES(swept_train_effective_mass(&m, &out), 0.290);
    HOSTILE(swept_train_effective_mass, m, out);
    OF_2(swept_mass_at_tip, 6.48e-5, 0.036, 0.05);
    OF_2(swept_train_deflection, 1500.0, 10e6, 0.00015);
    OF_2(swept_train_frequency, 10e6, 0.25, sqrt(40e6) / (2.0 * PI));
    /* The cam turns 50 times a second, a third of its turn lasts 1/150 s. */
    OF_2(swept_event_frequency, 120.0 * DEG, 200.0 * PI, 150.0);
    REFUSES(swept_event_frequency(7.0, 200.0 * PI, &out), SWEPT_OUT_OF_RANGE);
}

#define HOSTILE_CONTROL(f, of, extra, place)                                               \
    do {                                                                                   \
        LEAVES(place, f(NULL, of extra, &place), SWEPT_NULL_POINTER);                      \
        LEAVES(place, f(&control, NULL extra, &place), SWEPT_NULL_POINTER);                \
        NO(f(&control, of extra, NULL), SWEPT_NULL_POINTER);                               \
        NOT_A_NUMBER(control.effective_mass_kg, f(&control, of extra, &place));            \
        EACH_NUMBER(pair, place, f(&control, of extra, &place));                           \
        control.count = 0;                                                                 \
        LEAVES(place, f(&control, of extra, &place), SWEPT_WRONG_LENGTH);                  \
        control.count = HUGE_COUNT;                                                        \
        LEAVES(place, f(&control, of extra, &place), SWEPT_WRONG_LENGTH);                  \
        control.count = 2, control.springs = NULL;                                         \
        LEAVES(place, f(&control, of extra, &place), SWEPT_NULL_POINTER);                  \
        control.springs = pair;                                                            \
    } while (0)
#define CRANK , crank[0]

/* Of the harmonic lobe F / (-m s'') is least at the nose: (387 + 58000 h) / (m h k^2 / 2), the square of the cam's speed. */
static void control_of_the_valve(void) {
    struct swept_lift_curve *curve = lobe_of(SWEPT_HARMONIC, LOBE, LENGTH, 0.0), *tall = lobe_of(SWEPT_HARMONIC, 0.015, LENGTH, 0.0);
    struct swept_valve_train train;
    struct swept_spring_control control = {pair, 2, 0.24};
    struct swept_lift valve = {0.010, 0.0, -0.045, 0.0};
    struct swept_spring_forces f;
    struct swept_float speed;
    struct swept_spring_margin least;
    double crank[1] = {600.0}, cam = sqrt((387.0 + 58e3 * LOBE) / (0.24 * LOBE * K * K / 2.0));
    memset(&train, 0, sizeof train);
    train.curve = curve, train.train.ratio = 1.0;
    told(swept_spring_forces_at(&control, &valve, crank[0], &f) == SWEPT_OK && near(f.available_n, 967.0) && near(f.needed_n, 0.24 * 0.045 * 300.0 * 300.0) &&
             near(f.margin_n, -5.0) && near(f.contact_n, -5.0), "forces", "others");
    told(swept_float_speed(&control, &train, &speed) == SWEPT_OK && close_to(speed.crank_rad_s, 2.0 * cam, 1e-9) && fabs(speed.angle_rad) < 1e-5 &&
             close_to(speed.force_n, 967.0, 1e-9), "swept_float_speed", "another speed");
    told(swept_least_spring_margin(&control, &train, speed.crank_rad_s, &least) == SWEPT_OK && fabs(least.forces.margin_n) < 1e-6, "at float", "something is left");
    told(swept_least_spring_margin(&control, &train, speed.crank_rad_s / 2.0, &least) == SWEPT_OK && least.forces.margin_n > 0.0 && least.forces.contact_n > 0.0, "slower", "nothing is left");
    HOSTILE_CONTROL(swept_spring_forces_at, &valve, CRANK, f);
    EACH_NUMBER(valve, f, swept_spring_forces_at(&control, &valve, crank[0], &f));
    EACH_NUMBER(crank, f, swept_spring_forces_at(&control, &valve, crank[0], &f));
    HOSTILE_CONTROL(swept_float_speed, &train, NOTHING, speed);
    HOSTILE_CONTROL(swept_least_spring_margin, &train, CRANK, least);
    EACH_NUMBER(crank, least, swept_least_spring_margin(&control, &train, crank[0], &least));
    NOT_A_NUMBER(train.lash_m, swept_float_speed(&control, &train, &speed));
    NOT_A_NUMBER(train.train.ratio, swept_least_spring_margin(&control, &train, crank[0], &least));
    train.lash_m = 0.011;
    LEAVES(speed, swept_float_speed(&control, &train, &speed), SWEPT_OUT_OF_RANGE);
    train.lash_m = 0.0, train.curve = tall;
    LEAVES(speed, swept_float_speed(&control, &train, &speed), SWEPT_OUT_OF_RANGE);
    told(strstr(swept_last_error_message(), "binds") != NULL, "coil bind", "another message");
    train.curve = NULL;
    LEAVES(speed, swept_float_speed(&control, &train, &speed), SWEPT_NULL_POINTER);
    LEAVES(least, swept_least_spring_margin(&control, &train, crank[0], &least), SWEPT_NULL_POINTER);
    swept_lift_curve_free(curve);
    swept_lift_curve_free(tall);
}

int main(void) {
    nan_value = strtod("nan", NULL);
    one_spring();
    set();
    wire();
    control_of_the_valve();
    if (failures) return 1;
    puts("C: valve springs as their formulas, every bad number, count and pointer refused");
    return 0;
}
