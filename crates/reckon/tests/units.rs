//! The unit table against published factors: NIST SP 811 (2008), appendix B.8, as printed there (so good to the last digit
//! printed); imperial measures from the Units of Measurement Regulations 1995 (1 gal = 4.54609 L).
#![allow(clippy::unwrap_used, reason = "a test may say what it expects the short way")]

use reckon::{Expect, Temperature, parse};

/// `text` is `expected` in the base unit of `expect`, to within `digit` of the last digit printed.
#[track_caller]
fn check(text: &str, expect: Expect, expected: f64, digit: f64) {
    let found = parse(text, expect).unwrap().value();
    assert!(
        (found - expected).abs() <= digit,
        "{text}: {found}, published {expected}"
    );
}

#[test]
fn published_factors() {
    let length = Expect::length();
    check("1 in", length, 25.4, 0.0);
    check("1 ft", length, 304.8, 0.0);
    check("1 yd", length, 914.4, 0.0);
    check("1 mi", length, 1_609_344.0, 0.0);
    check("1 thou", length, 0.0254, 0.0);
    check("1 ft²", Expect::area(), 92_903.04, 1e-9);
    check("1 in²", Expect::area(), 645.16, 1e-9);
    let volume = Expect::volume();
    check("1 in³", volume, 16.387_06, 5e-6);
    check("1 US gal", volume, 3_785.412, 5e-4);
    check("1 US qt", volume, 946.352_9, 5e-5);
    check("1 US pt", volume, 473.176_5, 5e-5);
    check("1 US fl oz", volume, 29.573_53, 5e-6);
    check("1 UK gal", volume, 4_546.09, 1e-9);
    check("1 UK pt", volume, 568.261_25, 1e-9);
    check("1 UK fl oz", volume, 28.413_06, 5e-6);
    let mass = Expect::mass();
    check("1 lb", mass, 0.453_592_4, 5e-8);
    check("1 oz", mass, 0.028_349_52, 5e-9);
    check("1 UK ton", mass, 1_016.047, 5e-4);
    check("1 US ton", mass, 907.184_7, 5e-5);
    check("1 UK cwt", mass, 50.802_35, 5e-6);
    check("1 US cwt", mass, 45.359_24, 5e-6);
    let force = Expect::force();
    check("1 kgf", force, 9.806_65, 1e-12);
    check("1 lbf", force, 4.448_222, 5e-7);
    check("1 ozf", force, 0.278_013_9, 5e-8);
    let torque = Expect::torque();
    check("1 lbf·ft", torque, 1.355_818, 5e-7);
    check("1 lbf·in", torque, 0.112_984_8, 5e-8);
    check("1 ozf·in", torque, 0.007_061_552, 5e-10);
    check("1 kgf·m", torque, 9.806_65, 1e-12);
    let pressure = Expect::pressure();
    check("1 psi", pressure, 6.894_757, 5e-7);
    check("1 ksi", pressure, 6_894.757, 5e-4);
    check("1 atm", pressure, 101.325, 1e-9);
    check("1 kgf/cm²", pressure, 98.066_5, 1e-9);
    check("1 inHg", pressure, 3.386_389, 5e-7);
    check("1 mmHg", pressure, 0.133_322_4, 5e-8);
    check("1 mph", Expect::of(reckon::Kind::Speed), 0.447_04, 1e-12);
    check("1 ft/min", Expect::of(reckon::Kind::Speed), 0.005_08, 1e-12);
    check(
        "1 lbf/in",
        Expect::of(reckon::Kind::SpringRate),
        0.175_126_8,
        5e-8,
    );
    check("1 PS", Expect::of(reckon::Kind::Power), 735.498_8, 5e-5);
    check("1 hp mech", Expect::of(reckon::Kind::Power), 745.699_9, 5e-5);
}

/// Fixed points: water freezes at 32 °F and 273.15 K, and −40 is the same on both scales (by definition of the scales).
#[test]
fn temperatures() {
    let temperature = Expect::temperature();
    check("32 °F", temperature, 0.0, 0.0);
    check("212 °F", temperature, 100.0, 0.0);
    check("273.15 K", temperature, 0.0, 0.0);
    check("-40 °F", temperature, -40.0, 0.0);
    assert!((Temperature::from_c(20.0).in_f() - 68.0).abs() < 1e-12);
    assert!((Temperature::from_f(68.0).in_k() - 293.15).abs() < 1e-12);
}
