//! Checks on what a person types: what is taken, what is asked about, and that nothing typed can break the reader.
//!
//! Expected values follow from the definitions named in the unit table; nothing here looks at a screen or a file.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test may say what it expects the short way"
)]

use reckon::{Code, Exact, Expect, Kind, Typed, Unclear, Unit, parse, parse_any, parse_number};

/// What is made of `text`: its kept form, or the code and the candidates' texts.
fn said(result: Result<Typed, Unclear>) -> String {
    match result {
        Ok(typed) => typed.kept(),
        Err(unclear) => {
            let candidates: Vec<String> = unclear.candidates.into_iter().map(|c| c.text).collect();
            format!("{:?}: {}", unclear.code, candidates.join(" | "))
                .trim_end()
                .to_owned()
        }
    }
}

#[track_caller]
fn check(text: &str, expect: Expect, expected: &str) {
    assert_eq!(said(parse(text, expect)), expected, "typed: {text:?}");
}

#[track_caller]
fn check_any(text: &str, expected: &str) {
    assert_eq!(said(parse_any(text)), expected, "typed: {text:?}");
}

#[test]
fn lengths_are_taken() {
    for (text, expected) in [
        ("0.012 in", "0.012 in = 0.3048 mm"),
        ("12 thou", "12 thou = 0.3048 mm"),
        ("12thou", "12thou = 0.3048 mm"),
        ("0.30mm", "0.30mm = 0.3 mm"),
        ("1 3/8\"", "1 3/8\" = 34.925 mm"),
        ("1⅜ in", "1⅜ in = 34.925 mm"),
        ("1 ⅜ in.", "1 ⅜ in. = 34.925 mm"),
        ("⅜″", "⅜″ = 9.525 mm"),
        ("5/16 in", "5/16 in = 7.9375 mm"),
        ("5⁄16 in", "5⁄16 in = 7.9375 mm"),
        ("1/3 in", "1/3 in = 127/15 mm"),
        ("0,5 mm", "0,5 mm = 0.5 mm"),
        ("0,500 mm", "0,500 mm = 0.5 mm"),
        ("1,25 mm", "1,25 mm = 1.25 mm"),
        ("12,3456 mm", "12,3456 mm = 12.3456 mm"),
        ("1.234 in", "1.234 in = 31.3436 mm"),
        ("1,234.5 mm", "1,234.5 mm = 1234.5 mm"),
        ("1.234,5 mm", "1.234,5 mm = 1234.5 mm"),
        ("1,234,567 mm", "1,234,567 mm = 1234567 mm"),
        ("1\u{202f}234 mm", "1\u{202f}234 mm = 1234 mm"),
        (".5 mm", ".5 mm = 0.5 mm"),
        ("−0.02 mm", "−0.02 mm = -0.02 mm"),
        ("- 1 3/8 in", "- 1 3/8 in = -34.925 mm"),
        ("+0.02 mm", "+0.02 mm = 0.02 mm"),
        ("  5 m ", "5 m = 5000 mm"),
        ("5.m", "5.m = 5000 mm"),
        ("6'", "6' = 1828.8 mm"),
        ("5 ft 6 in", "5 ft 6 in = 1676.4 mm"),
        ("5' 6 1/2\"", "5' 6 1/2\" = 1689.1 mm"),
        ("-5'6''", "-5'6'' = -1676.4 mm"),
        ("3 µm", "3 µm = 0.003 mm"),
        ("3 μm", "3 μm = 0.003 mm"),
        ("3 UM", "3 UM = 0.003 mm"),
        ("1.5e-2 mm", "1.5e-2 mm = 0.015 mm"),
        ("2E3mm", "2E3mm = 2000 mm"),
    ] {
        check(text, Expect::length(), expected);
        check_any(text, expected);
    }
}

#[test]
fn other_kinds_are_taken() {
    // lbf·ft: 0.45359237 kg × 9.80665 m/s² × 0.3048 m, exact; also NIST SP 811 B.8 (1.355 818).
    for text in [
        "40 lb-ft",
        "40 lbf·ft",
        "40 lbf ft",
        "40 ft-lb",
        "40 ft lbs",
        "40 ft.lbs.",
        "40 LB FT",
        "40 lb⋅ft",
        "40 foot-pounds",
    ] {
        check_any(text, &format!("{text} = 54.232717933256016 N·m"));
    }
    for (text, expected) in [
        ("54 Nm", "54 Nm = 54 N·m"),
        ("54 N.m", "54 N.m = 54 N·m"),
        ("54 N m", "54 N m = 54 N·m"),
        ("54 N*m", "54 N*m = 54 N·m"),
        ("5.5 kgf m", "5.5 kgf m = 53.936575 N·m"),
        ("5.5 kg-m", "5.5 kg-m = 53.936575 N·m"),
        ("5.5 mkp", "5.5 mkp = 53.936575 N·m"),
        ("1 lbf·in", "1 lbf·in = 0.1129848290276167 N·m"),
        ("998 cc", "998 cc = 998 cm³"),
        ("1 in³", "1 in³ = 16.387064 cm³"),
        ("1 cu in", "1 cu in = 16.387064 cm³"),
        ("4.2 L", "4.2 L = 4200 cm³"),
        ("1 UK gal", "1 UK gal = 4546.09 cm³"),
        ("1 US gal", "1 US gal = 3785.411784 cm³"),
        ("10 pint UK", "10 pint UK = 5682.6125 cm³"),
        ("40 lbf", "40 lbf = 177.92886461042 N"),
        ("2 kgf", "2 kgf = 19.6133 N"),
        ("1.2 kg", "1.2 kg = 1.2 kg"),
        ("5 lb 3 oz", "5 lb 3 oz = 2.353010419375 kg"),
        ("2 bar", "2 bar = 200 kPa"),
        ("7 kg/cm²", "7 kg/cm² = 686.4655 kPa"),
        ("640 N/mm²", "640 N/mm² = 640000 kPa"),
        ("640 mpa", "640 mpa = 640000 kPa"),
        ("30 °", "30 ° = 30 °"),
        ("12° 30'", "12° 30' = 12.5 °"),
        ("12°30'36\"", "12°30'36\" = 12.51 °"),
        ("68 °F", "68 °F = 20 °C"),
        ("-40 F", "-40 F = -40 °C"),
        ("20 ℃", "20 ℃ = 20 °C"),
        ("293.15 K", "293.15 K = 20 °C"),
        ("4000 rpm", "4000 rpm = 4000 rpm"),
        ("4000 1/min", "4000 1/min = 4000 rpm"),
        ("4000 min⁻¹", "4000 min⁻¹ = 4000 rpm"),
        ("36 km/h", "36 km/h = 10 m/s"),
        ("12.6 V", "12.6 V = 12.6 V"),
        ("4.7 kΩ", "4.7 kΩ = 4700 Ω"),
        ("5 MΩ", "5 MΩ = 5000000 Ω"),
        ("5 mΩ", "5 mΩ = 0.005 Ω"),
        ("12 %", "12 % = 0.12"),
    ] {
        check_any(text, expected);
    }
}

#[test]
fn an_endless_decimal_is_kept_as_a_fraction() {
    // 1 lbf/in = 4.4482216152605/25.4 N/mm; NIST SP 811 B.8 gives 175.1268 N/m.
    let typed = parse_any("25 lb/in").unwrap();
    assert!(
        (typed.value() - 25.0 * 0.175_126_8).abs() < 1e-5,
        "{}",
        typed.kept()
    );
    assert!(
        typed.kept().contains('/') && Typed::from_kept(&typed.kept()) == Ok(typed.clone()),
        "{}",
        typed.kept()
    );
}

#[test]
fn a_kind_that_is_expected_settles_a_shared_spelling() {
    check("12 oz", Expect::mass(), "12 oz = 0.3401942775 kg");
    check("40 lb", Expect::mass(), "40 lb = 18.1436948 kg");
    check("40 lb", Expect::force(), "40 lb = 177.92886461042 N");
    check("4 kg", Expect::force(), "4 kg = 39.2266 N");
    check("30'", Expect::angle(), "30' = 0.5 °");
    check("20°", Expect::temperature(), "AmbiguousUnit: 20 °C | 20 °F");
    check(
        "12 oz",
        Expect::volume(),
        "AmbiguousUnit: 12 UK fl oz | 12 US fl oz",
    );
}

#[test]
fn what_is_in_doubt_is_asked_about() {
    for (text, expected) in [
        ("1,234 mm", "CommaOrPoint: 1234 mm | 1.234 mm"),
        ("-1,234 mm", "CommaOrPoint: -1234 mm | -1.234 mm"),
        ("1 234 mm", "SpaceInNumber: 1234 mm | 1.234 mm"),
        ("1-3/8 in", "HyphenInNumber: 1 3/8 in"),
        ("5/16", "NoUnit: 5/16 in | 5/16 mm | 5/16 thou"),
        (
            "1,234",
            "NoUnit: 1234 mm | 1234 in | 1234 thou | 1.234 mm | 1.234 in | 1.234 thou",
        ),
        ("12", "NoUnit: 12 mm | 12 in | 12 thou"),
        ("3 mil", "AmbiguousUnit: 3 mm | 3 thou"),
        ("5 furlongs", "UnknownUnit: 5 mm | 5 in | 5 thou"),
        ("5 kg", "WrongKind:"),
        ("1/2/3 in", "BadNumber:"),
        ("10-12 mm", "Range:"),
        ("10 – 12 mm", "Range:"),
        ("10 to 12 mm", "Range:"),
        ("10..12 mm", "Range:"),
        ("±0.02 mm", "NotOneValue:"),
        ("5 +/- 0.02 mm", "NotOneValue:"),
        ("~5 mm", "NotOneValue:"),
        ("< 5 mm", "NotOneValue:"),
        ("5 mm = 6 mm", "NotOneValue:"),
        ("1/0 in", "DivisionByZero:"),
        ("1 1/0 in", "DivisionByZero:"),
        ("1 9/8 in", "BadNumber:"),
        ("1.5/8 in", "BadNumber:"),
        ("1.5 3/8 in", "BadNumber:"),
        ("1,2,3 mm", "BadNumber:"),
        ("1,23.4 mm", "BadNumber:"),
        ("1.2.3 mm", "BadNumber:"),
        ("5 6 mm", "BadNumber:"),
        ("⅜5 in", "BadNumber:"),
        ("--5 mm", "BadNumber:"),
        ("mm", "BadNumber:"),
        ("mm 5", "BadNumber:"),
        ("", "Empty:"),
        ("  ", "Empty:"),
        ("5 mm 6 in", "UnknownUnit: 5 mm | 5 in | 5 thou"),
    ] {
        check(text, Expect::length(), expected);
    }
    for (text, expected) in [
        ("12 oz", "AmbiguousUnit: 12 UK fl oz | 12 US fl oz | 12 oz av"),
        ("12 fl oz", "AmbiguousUnit: 12 UK fl oz | 12 US fl oz"),
        ("1 gal", "AmbiguousUnit: 1 UK gal | 1 US gal"),
        ("10 pint", "AmbiguousUnit: 10 UK pt | 10 US pt"),
        ("2 qt", "AmbiguousUnit: 2 UK qt | 2 US qt"),
        ("40 lb", "AmbiguousUnit: 40 lbm | 40 lbf"),
        ("1 ton", "AmbiguousUnit: 1 t | 1 UK ton | 1 US ton"),
        ("60 hp", "AmbiguousUnit: 60 PS | 60 hp mech"),
        ("12", "NoUnit: 12 mm | 12 in"),
        ("5/16", "NoUnit: 5/16 in | 5/16 mm"),
        ("-300 °C", "Impossible:"),
        ("-500 F", "Impossible:"),
        ("5 lb/ft", "UnknownUnit:"),
    ] {
        check_any(text, expected);
    }
}

#[test]
fn a_bare_number_is_taken_only_in_an_agreed_unit() {
    check("12", Expect::length().bare_in(Unit::Millimetre), "12 = 12 mm");
    check("0.012", Expect::length().bare_in(Unit::Inch), "0.012 = 0.3048 mm");
    check("5/16", Expect::length().bare_in(Unit::Inch), "5/16 = 7.9375 mm");
    check(
        "5/16",
        Expect::length().bare_in(Unit::Millimetre),
        "NoUnit: 5/16 in | 5/16 mm | 5/16 thou",
    );
    check(
        "1,234",
        Expect::length().bare_in(Unit::Millimetre),
        "CommaOrPoint: 1234 mm | 1.234 mm",
    );
    // A unit of another kind agrees on nothing.
    check(
        "12",
        Expect::length().bare_in(Unit::Bar),
        "NoUnit: 12 mm | 12 in | 12 thou",
    );
}

#[test]
fn plain_numbers() {
    let number = |text: &str| parse_number(text).map(|n| n.to_string()).map_err(|u| u.code);
    assert_eq!(number("9.5:1"), Ok("9.5".to_owned()));
    assert_eq!(number("9.5 : 1"), Ok("9.5".to_owned()));
    assert_eq!(number("0,15"), Ok("0.15".to_owned()));
    assert_eq!(number("1/3"), Ok("1/3".to_owned()));
    assert_eq!(number("10 %"), Ok("0.1".to_owned()));
    assert_eq!(number("1,234"), Err(Code::CommaOrPoint));
    assert_eq!(number("5 mm"), Err(Code::WrongKind));
    assert_eq!(number("9.5:2"), Err(Code::UnknownUnit));
}

#[test]
fn kept_texts_are_read_back_exactly() {
    for (text, expect) in [
        ("12 thou", Expect::length()),
        ("1/3 in", Expect::length()),
        ("-40", Expect::temperature().bare_in(Unit::Fahrenheit)),
        ("0", Expect::length().bare_in(Unit::Inch)),
        ("12", Expect::length().bare_in(Unit::Inch)),
        ("40 lb", Expect::force()),
        ("0.15", Expect::number()),
        ("12°30'", Expect::angle()),
        ("5' 6\"", Expect::length()),
    ] {
        let typed = parse(text, expect).unwrap();
        assert_eq!(
            Typed::from_kept(&typed.kept()),
            Ok(typed.clone()),
            "{}",
            typed.kept()
        );
    }
    for text in [
        "",
        "12 thou",
        "12 thou = ",
        " = 0.3048 mm",
        "12 thou = 0.3048",
        "12 thou = x mm",
        "12 thou = 1/0 mm",
        "a  = 1 mm",
    ] {
        let read = Typed::from_kept(text);
        if text == "12 thou = 0.3048" {
            // Reads as a plain number: the value counts, whatever the text in front of it.
            assert_eq!(read.unwrap().kind(), Kind::Number);
        } else {
            assert_eq!(read.unwrap_err().code, Code::NotKept, "{text:?}");
        }
    }
    // A later or earlier reader may not know the typed text; the value stands.
    let odd = Typed::from_kept("two thou and a bit = 0.0523 mm").unwrap();
    assert_eq!(
        (odd.text(), odd.value(), odd.unit()),
        ("two thou and a bit", 0.0523, Unit::Millimetre)
    );
}

#[test]
fn every_unit_reads_back_its_own_symbol() {
    for unit in Unit::ALL {
        let symbol = format!("3 {}", unit.symbol());
        assert_eq!(
            parse(&symbol, Expect::of(unit.kind())).map(|t| t.unit()),
            Ok(*unit),
            "{symbol}"
        );
        if *unit != Unit::One {
            let certain = format!("3 {}", unit.certain());
            assert_eq!(parse_any(&certain).map(|t| t.unit()), Ok(*unit), "{certain}");
        }
        let three = Exact::from(3);
        assert_eq!(
            unit.from_base_exact(&unit.to_base_exact(&three)),
            three,
            "{unit:?} there and back"
        );
        assert!(
            (unit.from_base(unit.to_base(3.0)) - 3.0).abs() < 1e-9,
            "{unit:?} there and back as a float"
        );
    }
}

#[test]
fn no_two_units_of_a_kind_are_the_same() {
    // Otherwise a kept bare number could come back in another unit.
    for (at, one) in Unit::ALL.iter().enumerate() {
        for other in Unit::ALL
            .iter()
            .skip(at + 1)
            .filter(|other| other.kind() == one.kind())
        {
            assert_ne!(one.factor(), other.factor(), "{one:?} and {other:?}");
        }
    }
}

#[test]
fn nasty_texts_are_refused_in_words() {
    let long_digits = "9".repeat(5_000);
    let many_digits = "9".repeat(30);
    let bytes = "\u{1F527}".repeat(40);
    for (text, code) in [
        (long_digits.as_str(), Code::TooLong),
        (many_digits.as_str(), Code::TooLong),
        ("1e999999999 mm", Code::TooLong),
        ("1e99999999999999999999999999999999 mm", Code::TooLong),
        ("1e-999999999 mm", Code::TooLong),
        ("0e31 mm", Code::TooLong),
        ("1/0", Code::DivisionByZero),
        ("0/0 mm", Code::DivisionByZero),
        ("5\u{0} mm", Code::StrangeCharacter),
        ("\u{202e}5 mm", Code::StrangeCharacter),
        ("5 mm\u{200b}", Code::StrangeCharacter),
        ("5\nmm", Code::StrangeCharacter),
        ("٥ mm", Code::StrangeCharacter),
        ("５ mm", Code::StrangeCharacter),
        ("5 мм", Code::StrangeCharacter),
        (bytes.as_str(), Code::StrangeCharacter),
        ("NaN mm", Code::BadNumber),
        ("inf mm", Code::BadNumber),
        ("-", Code::BadNumber),
        ("/", Code::BadNumber),
        (".", Code::BadNumber),
        ("1e", Code::UnknownUnit),
        ("1/", Code::UnknownUnit),
        ("0x10 mm", Code::UnknownUnit),
        ("1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 mm", Code::BadNumber),
        ("1 ft 1 ft 1 ft 1 ft 1 ft 1 ft", Code::UnknownUnit),
        ("Robert'); drop", Code::StrangeCharacter),
    ] {
        let unclear = parse(text, Expect::length()).unwrap_err();
        assert_eq!(unclear.code, code, "{text:?}: {}", unclear.words);
        assert!(
            unclear.words.ends_with(['.', '?']),
            "a sentence: {}",
            unclear.words
        );
    }
}
