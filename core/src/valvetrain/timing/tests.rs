use super::*;
use crate::ErrorKind;
use crate::solve::bracketed;
use approx::assert_relative_eq;
use proptest::prelude::*;

fn deg(x: f64) -> Angle {
    Angle::from_si(x.to_radians())
}

fn mm(x: f64) -> Length {
    Length::from_si(x / 1e3)
}

fn degrees(angle: Angle) -> f64 {
    angle.si().to_degrees()
}

fn events(kind: ValveKind, opening: f64, closing: f64) -> ValveEvents {
    ValveEvents { kind, opening: deg(opening), closing: deg(closing) }
}

fn refused<T: core::fmt::Debug>(result: Result<T>, field: &str) {
    let error = result.unwrap_err();
    assert_eq!((error.kind(), error.field()), (ErrorKind::OutOfRange, Some(field)), "{error}");
}

/// A card of the trade worked by hand: IVO 34 BTDC, IVC 66 ABDC: 34 + 180 + 66 = 280, centreline 280 / 2 - 34 = 106. EVO 74 BBDC, EVC 26 ATDC: 280,
/// centreline 280 / 2 - 26 = 114. Separation (106 + 114) / 2 = 110, advance (114 - 106) / 2 = 4, overlap 34 + 26 = 60.
#[test]
fn a_timing_card() {
    let intake = ValveTiming::from_events(events(ValveKind::Intake, 34.0, 66.0), mm(0.15)).unwrap();
    let exhaust = ValveTiming::from_events(events(ValveKind::Exhaust, 74.0, 26.0), mm(0.15)).unwrap();
    assert_relative_eq!(degrees(intake.centreline()), 106.0, epsilon = 1e-12);
    assert_relative_eq!(degrees(exhaust.centreline()), -114.0, epsilon = 1e-12);
    assert_relative_eq!(degrees(intake.duration()), 280.0, epsilon = 1e-12);
    assert_relative_eq!(degrees(exhaust.duration()), 280.0, epsilon = 1e-12);
    let cam = CamTiming::new(intake, exhaust).unwrap();
    assert_relative_eq!(degrees(cam.lobe_separation().on_cam()), 110.0, epsilon = 1e-12);
    assert_relative_eq!(degrees(cam.advance()), 4.0, epsilon = 1e-12);
    assert_relative_eq!(degrees(cam.overlap()), 60.0, epsilon = 1e-12);
}

#[test]
fn events_past_their_dead_centre_change_sides_in_words() {
    let intake = ValveTiming::symmetrical(deg(110.0), deg(200.0), mm(1.0)).unwrap();
    assert_relative_eq!(degrees(intake.events().opening), -10.0, epsilon = 1e-12);
    assert_eq!(intake.events().to_string(), "intake opens 10.00 deg after TDC, closes 30.00 deg after BDC");
    let exhaust = ValveTiming::symmetrical(deg(-110.0), deg(200.0), mm(1.0)).unwrap();
    assert_eq!(
        exhaust.events().to_string(),
        "exhaust opens 30.00 deg before BDC, closes 10.00 deg before TDC"
    );
    assert_relative_eq!(degrees(CamTiming::new(intake, exhaust).unwrap().overlap()), -20.0, epsilon = 1e-12);
}

#[test]
fn installed_against_ground() {
    let durations = (deg(230.0), deg(236.0));
    let cam = |advance| {
        let separation = CamAngle::of_cam(deg(112.0));
        CamTiming::from_separation(separation, deg(advance), durations.0, durations.1, mm(1.27)).unwrap()
    };
    let (ground, installed) = (cam(4.0), cam(1.5));
    assert_relative_eq!(degrees(installed.advance_over(&ground)), -2.5, epsilon = 1e-12);
    assert_relative_eq!(degrees(installed.intake().advance_over(&ground.intake())), -2.5, epsilon = 1e-12);
    let moved = ground.advanced(deg(-2.5)).unwrap();
    assert_relative_eq!(moved.intake().opening().si(), installed.intake().opening().si(), epsilon = 1e-14);
    // Advanced is earlier: the intake closes sooner after bottom dead centre.
    assert!(ground.intake().events().closing < installed.intake().events().closing);
}

#[test]
fn impossible_timings_are_refused_with_the_bound() {
    let symmetrical = |c: f64, d: f64| ValveTiming::symmetrical(deg(c), deg(d), mm(1.0));
    refused(symmetrical(110.0, 720.1), "duration");
    refused(symmetrical(110.0, 0.0), "duration");
    refused(symmetrical(110.0, -200.0), "duration");
    refused(symmetrical(0.0, 240.0), "centreline");
    refused(symmetrical(361.0, 240.0), "centreline");
    refused(ValveTiming::symmetrical(deg(110.0), deg(240.0), mm(-1.0)), "lift");
    refused(ValveTiming::asymmetrical(deg(110.0), deg(120.0), deg(0.0), mm(1.0)), "closing flank");
    refused(ValveTiming::asymmetrical(deg(110.0), deg(400.0), deg(400.0), mm(1.0)), "duration");
    assert_eq!(symmetrical(f64::NAN, 240.0).unwrap_err().kind(), ErrorKind::NotFinite);
    assert_eq!(symmetrical(110.0, f64::INFINITY).unwrap_err().kind(), ErrorKind::NotFinite);
    let allowed = symmetrical(110.0, 721.0).unwrap_err().allowed().unwrap();
    assert!(allowed.contains("720 deg"), "{allowed}");
}

#[test]
fn impossible_events_are_refused() {
    let from = |kind, o, c| ValveTiming::from_events(events(kind, o, c), mm(1.0));
    refused(from(ValveKind::Intake, -100.0, -80.0), "closing");
    refused(from(ValveKind::Intake, 200.0, 0.0), "intake centreline");
    refused(from(ValveKind::Exhaust, 0.0, 200.0), "exhaust centreline");
    let at = |centreline| {
        ValveTiming::from_events_and_centreline(
            events(ValveKind::Intake, 20.0, 60.0),
            deg(centreline),
            mm(1.0),
        )
    };
    refused(at(240.0), "centreline");
    refused(at(-10.0), "intake centreline");
    let lobe = at(105.0).unwrap();
    assert_relative_eq!(degrees(lobe.opening_flank()), 125.0, epsilon = 1e-12);
    assert_relative_eq!(degrees(lobe.closing_flank()), 135.0, epsilon = 1e-12);
}

#[test]
fn lobes_that_do_not_go_together_are_refused() {
    let lobe = |c: f64, o: f64, f: f64, lift: f64| {
        ValveTiming::asymmetrical(deg(c), deg(o), deg(f), mm(lift)).unwrap()
    };
    let (intake, exhaust) = (lobe(110.0, 120.0, 120.0, 1.0), lobe(-110.0, 120.0, 120.0, 1.0));
    assert!(CamTiming::new(intake, exhaust).is_ok());
    refused(CamTiming::new(exhaust, exhaust), "intake centreline");
    refused(CamTiming::new(intake, intake), "exhaust centreline");
    refused(CamTiming::new(intake, lobe(-110.0, 120.0, 120.0, 2.0)), "lift of the exhaust timing");
    refused(CamTiming::new(lobe(200.0, 60.0, 60.0, 1.0), lobe(-170.0, 60.0, 60.0, 1.0)), "lobe separation");
    refused(CamTiming::new(lobe(110.0, 240.0, 120.0, 1.0), lobe(-10.0, 120.0, 120.0, 1.0)), "intake opening");
    refused(CamTiming::new(intake, lobe(-10.0, 140.0, 250.0, 1.0)), "intake closing");
    refused(
        CamTiming::new(lobe(110.0, 120.0, 380.0, 1.0), lobe(-110.0, 120.0, 120.0, 1.0)),
        "next exhaust opening",
    );
    let separation = CamAngle::of_cam(deg(110.0));
    refused(CamTiming::from_separation(separation, deg(110.0), deg(240.0), deg(240.0), mm(1.0)), "advance");
}

/// Closed forms: two straight lifts a x and b (W - x) enclose a triangle of height a b W / (a + b); h sin^2 and h cos^2 over a quarter turn
/// enclose h (pi / 4 - 1 / 2).
#[test]
fn overlap_area_against_closed_forms() {
    let (a, b, width) = (0.004, 0.007, 1.1);
    let from = Angle::from_si(-0.6);
    let up = |x: Angle| Length::from_si(a * (x - from).si());
    let down = |x: Angle| Length::from_si(b * (width - (x - from).si()));
    let area = overlap_area(from, from + Angle::from_si(width), up, down).unwrap();
    assert_relative_eq!(area.si(), a * b * width * width / (a + b) / 2.0, max_relative = 1e-6);
    let intake = |x: Angle| Length::from_si(0.01 * x.si().sin().powi(2));
    let exhaust = |x: Angle| Length::from_si(0.01 * x.si().cos().powi(2));
    let area = overlap_area(deg(0.0), deg(90.0), intake, exhaust).unwrap();
    assert_relative_eq!(area.si(), 0.01 * (PI / 4.0 - 0.5), max_relative = 2e-6);
}

#[test]
fn overlap_area_leaves_out_what_is_closed() {
    let lift = |x: Angle| Length::from_si(1e-3 * x.si());
    let triangle = overlap_area(Angle::from_si(-1.0), Angle::from_si(1.0), lift, lift).unwrap();
    assert_relative_eq!(triangle.si(), 0.5e-3, max_relative = 1e-9);
    assert_eq!(overlap_area(deg(10.0), deg(-10.0), lift, lift).unwrap().si(), 0.0);
    let nan = |_| Length::from_si(f64::NAN);
    let error = overlap_area(deg(-10.0), deg(10.0), lift, nan).unwrap_err();
    assert_eq!((error.kind(), error.field()), (ErrorKind::NotFinite, Some("exhaust lift")));
    refused(overlap_area(deg(-400.0), deg(400.0), lift, lift), "overlap");
    let cam =
        CamTiming::from_separation(CamAngle::of_cam(deg(110.0)), deg(0.0), deg(280.0), deg(280.0), mm(0.0));
    let flat = |_| Length::from_si(2e-3);
    assert_relative_eq!(cam.unwrap().overlap_area(flat, flat).unwrap().si(), 2e-3 * 60f64.to_radians());
}

/// The part drawn out in coordinates: where the step of the key meets the circle of the shaft, where the eccentric bush brings the dowel back onto its circle.
#[test]
fn offset_parts_by_coordinates() {
    let (e, r) = (0.8f64, 14.0f64);
    let on_shaft = e.atan2((r * r - e * e).sqrt());
    let cam_key = OffsetPart::CamKey.advance(mm(e), mm(r)).unwrap();
    let crank_key = OffsetPart::CrankKey.advance(mm(e), mm(r)).unwrap();
    assert_relative_eq!(cam_key.si(), 2.0 * on_shaft, max_relative = 1e-13);
    assert_relative_eq!(crank_key.si(), on_shaft, max_relative = 1e-13);
    let chord = |turn: f64| ((r * turn.cos() - r).powi(2) + (r * turn.sin()).powi(2)).sqrt();
    let turned = bracketed("turn", 0.0, 1.0, |turn| Ok(chord(turn) - e)).unwrap();
    let bush = OffsetPart::CamBush.advance(mm(e), mm(r)).unwrap();
    assert_relative_eq!(bush.si(), 2.0 * turned, max_relative = 1e-12);
    refused(OffsetPart::CamKey.advance(mm(15.0), mm(14.0)), "offset");
    refused(OffsetPart::CamKey.advance(mm(1.0), mm(0.0)), "radius");
    let far = OffsetPart::CrankKey.offset_for(deg(100.0), mm(14.0)).unwrap_err();
    assert_eq!(far.kind(), ErrorKind::NoSolution);
}

/// The chain's length from the crank's tooth at the bottom to the cam's at the top, built in coordinates: the tangent is sought by turning a line about the crank
/// sprocket until it touches the cam sprocket, arcs and span are then measured. No formula of [`ChainDrive`] is used.
fn chain_length(r: f64, big: f64, centres: f64) -> f64 {
    let touches = |at: f64| {
        let (x, y) = (r * at.cos(), r * at.sin());
        // Signed distance of the cam's centre (0, C) from the line through (x, y) along (-sin, cos).
        Ok((0.0 - x) * at.cos() + (centres - y) * at.sin() + big)
    };
    let at = bracketed("tangent", -1.5, 1.5, touches).unwrap();
    let start = (r * at.cos(), r * at.sin());
    let along = (0.0 - start.0) * -at.sin() + (centres - start.1) * at.cos();
    let end = (start.0 - along * at.sin(), start.1 + along * at.cos());
    let on_cam = (end.1 - centres).atan2(end.0);
    let span = (end.0 - start.0).hypot(end.1 - start.1);
    r * (at + PI / 2.0) + span + big * (PI / 2.0 - on_cam)
}

#[test]
fn milling_retards_by_as_much_as_a_drawn_chain_says() {
    let (r, big, centres) = (23.9, 47.6, 310.0);
    let drive = ChainDrive::new(mm(r), mm(big), mm(centres)).unwrap();
    for change in [-3.0, -0.5, 0.4, 2.0] {
        let short = chain_length(r, big, centres + change) - chain_length(r, big, centres);
        let advance = drive.advance_from_centre_distance(mm(change)).unwrap();
        assert_relative_eq!(advance.si(), 2.0 * short / big, epsilon = 1e-12);
        assert_eq!(advance.si() > 0.0, change > 0.0);
    }
    // For a small change: change x cos(g) / R.
    let small = drive.advance_from_centre_distance(mm(1e-4)).unwrap();
    let cos = (1.0 - ((big - r) / centres).powi(2)).sqrt();
    assert_relative_eq!(small.si(), 2.0 * 1e-4 * cos / big, max_relative = 1e-6);
}

#[test]
fn stretch_retards_and_impossible_drives_are_refused() {
    let drive = ChainDrive::new(mm(24.0), mm(48.0), mm(300.0)).unwrap();
    assert_relative_eq!(
        drive.advance_from_stretch(mm(0.6)).unwrap().si(),
        -2.0 * 0.6 / 48.0,
        max_relative = 1e-12
    );
    assert_relative_eq!(
        drive.tight_span().si(),
        1e-3 * (300f64.powi(2) - 24f64.powi(2)).sqrt(),
        max_relative = 1e-14
    );
    refused(drive.advance_from_stretch(mm(-0.1)), "elongation of the tight span");
    refused(drive.advance_from_stretch(mm(310.0)), "elongation of the tight span");
    refused(ChainDrive::new(mm(24.0), mm(48.0), mm(70.0)), "centre distance");
    refused(drive.advance_from_centre_distance(mm(-240.0)), "centre distance");
    // A hexagon's radius is its side.
    assert_relative_eq!(sprocket_pitch_radius(mm(9.525), 6).unwrap().si(), 9.525e-3, max_relative = 1e-14);
    refused(sprocket_pitch_radius(mm(9.525), 2), "teeth");
}

proptest! {
    #[test]
    fn separation_and_advance_come_back(s in 95.0..125.0f64, a in -15.0..15.0f64, i in 180.0..330.0f64, e in 180.0..330.0f64) {
        let cam = CamTiming::from_separation(CamAngle::of_cam(deg(s)), deg(a), deg(i), deg(e), mm(1.0)).unwrap();
        prop_assert!((degrees(cam.lobe_separation().on_cam()) - s).abs() < 1e-11);
        prop_assert!((degrees(cam.advance()) - a).abs() < 1e-11);
        let by_events = |t: ValveTiming| ValveTiming::from_events(t.events(), t.lift()).unwrap();
        let again = CamTiming::new(by_events(cam.intake()), by_events(cam.exhaust())).unwrap();
        prop_assert!((degrees(again.lobe_separation().on_cam()) - s).abs() < 1e-11);
        prop_assert!((degrees(again.advance()) - a).abs() < 1e-11);
        prop_assert!((degrees(again.intake().duration()) - i).abs() < 1e-11);
        prop_assert!((degrees(again.exhaust().duration()) - e).abs() < 1e-11);
        // Overlap = mean duration - 2 x separation, whatever the advance.
        prop_assert!((degrees(cam.overlap()) - ((i + e) / 2.0 - 2.0 * s)).abs() < 1e-11);
    }

    #[test]
    fn flanks_come_back_from_events(c in 90.0..130.0f64, o in 80.0..170.0f64, f in 80.0..170.0f64, exhaust: bool) {
        let centreline = if exhaust { -c } else { c };
        let timing = ValveTiming::asymmetrical(deg(centreline), deg(o), deg(f), mm(1.0)).unwrap();
        let again = ValveTiming::from_events_and_centreline(timing.events(), timing.centreline(), mm(1.0)).unwrap();
        prop_assert!((degrees(again.opening_flank()) - o).abs() < 1e-11);
        prop_assert!((degrees(again.closing_flank()) - f).abs() < 1e-11);
    }

    #[test]
    fn an_offset_for_an_advance_gives_it(part in 0..3usize, advance in -20.0..20.0f64, r in 8.0..40.0f64) {
        let part = [OffsetPart::CamKey, OffsetPart::CamBush, OffsetPart::CrankKey][part];
        let offset = part.offset_for(deg(advance), mm(r)).unwrap();
        prop_assert!((degrees(part.advance(offset, mm(r)).unwrap()) - advance).abs() < 1e-10);
    }

    #[test]
    fn milling_always_retards(r in 15.0..40.0f64, ratio in 0.7..2.5f64, more in 1.0..400.0f64, cut in 0.01..0.9f64) {
        let drive = ChainDrive::new(mm(r), mm(r * ratio), mm(r * (1.0 + ratio) + more)).unwrap();
        prop_assert!(drive.advance_from_centre_distance(mm(-cut)).unwrap().si() < 0.0);
        prop_assert!(drive.advance_from_centre_distance(mm(cut)).unwrap().si() > 0.0);
    }
}
