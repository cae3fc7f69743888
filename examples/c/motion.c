/* Piston position, velocity and acceleration every 30 degrees of the crank.
 * cc motion.c $(pkg-config --cflags --libs swept) -o motion */
#include <stdio.h>
#include <stdlib.h>
#include <swept.h>

static void check(enum swept_status status) {
    if (status != SWEPT_OK) {
        fprintf(stderr, "%s\n", swept_last_error_message());
        exit(1);
    }
}

int main(void) {
    struct swept_cylinder cylinder;
    double speed_rad_s, degree_rad, x, v, a;
    int degrees;
    check(swept_parse("86.5 mm", "m", &cylinder.bore_m));
    check(swept_parse("86 mm", "m", &cylinder.stroke_m));
    check(swept_parse("148 mm", "m", &cylinder.rod_length_m));
    check(swept_parse("0.5 mm", "m", &cylinder.pin_offset_m));
    check(swept_parse("7200 rpm", "rad/s", &speed_rad_s));
    check(swept_convert(1.0, "deg", "rad", &degree_rad));
    printf("angle deg  position mm  velocity m/s  acceleration m/s2\n");
    for (degrees = 0; degrees < 360; degrees += 30) {
        double angle_rad = degrees * degree_rad;
        check(swept_cylinder_piston_position(&cylinder, angle_rad, &x));
        check(swept_cylinder_piston_velocity(&cylinder, angle_rad, speed_rad_s, &v));
        check(swept_cylinder_piston_acceleration(&cylinder, angle_rad, speed_rad_s, &a));
        printf("%9d  %11.4f  %12.4f  %17.2f\n", degrees, x * 1000.0, v, a);
    }
    return 0;
}
