//! The table of units. Factors are exact by definition: the inch is 25.4 mm and the pound 0.45359237 kg (international
//! yard and pound agreement, 1959), standard gravity is 9.80665 m/s² (third CGPM, 1901), the UK gallon is 4.54609 L
//! (Units of Measurement Regulations 1995), the US gallon is 231 in³ (NIST SP 811, appendix B.8).
//!
//! Where trade use gives one spelling to several units (`oz`, `gal`, `lb`, `mil`), each row carries it, and the reader
//! asks. Never converts anything itself.

use super::factor::{Factor, Row};
use super::kind::Kind;

/// A decimal digit place, to write factors as they stand in the definitions.
const E3: i128 = 1_000;
const E6: i128 = 1_000_000;
/// The pound-force in newtons: 0.45359237 kg × 9.80665 m/s² = 4.4482216152605 N exactly, as a numerator over [`LBF_BOTTOM`].
const LBF: i128 = 44_482_216_152_605;
const LBF_BOTTOM: i128 = 10_000_000_000_000;
/// The pound in kilograms over 10⁸.
const LB: i128 = 45_359_237;
const LB_BOTTOM: i128 = 100_000_000;

const fn divided(top: i128, bottom: i128) -> f64 {
    top as f64 / bottom as f64
}

macro_rules! units {
    ($( $(#[$doc:meta])* $name:ident: $kind:ident, $symbol:literal $(($certain:literal))?,
        $top:expr, $bottom:expr $(; $off_top:expr, $off_bottom:expr)?, $decimals:literal,
        [$($spelling:literal),*] $(; if [$($expected:literal),*])? )*) => {
        /// A unit of measurement. Several spellings lead to each; see [`Unit::symbol`].
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Unit { $( $(#[$doc])* $name, )* }

        impl Unit {
            /// Every unit, in the order of the table: kinds together.
            pub const ALL: &'static [Self] = &[ $( Self::$name, )* ];

            pub(crate) fn row(self) -> &'static Row {
                match self { $( Self::$name => const { &Row {
                    kind: Kind::$kind,
                    symbol: $symbol,
                    certain: units!(@certain $symbol $(, $certain)?),
                    factor: Factor {
                        top: $top,
                        bottom: $bottom,
                        offset: units!(@offset $($off_top, $off_bottom)?),
                    },
                    scale: divided($top, $bottom),
                    shift: units!(@shift $($off_top, $off_bottom)?),
                    decimals: $decimals,
                    spellings: &[$($spelling),*],
                    if_expected: units!(@expected $($($expected),*)?),
                } }, )* }
            }
        }
    };
    (@certain $symbol:literal, $certain:literal) => { $certain };
    (@certain $symbol:literal) => { $symbol };
    (@offset $top:expr, $bottom:expr) => { ($top, $bottom) };
    (@offset) => { (0, 1) };
    (@shift $top:expr, $bottom:expr) => { divided($top, $bottom) };
    (@shift) => { 0.0 };
    (@expected $($expected:literal),+) => { &[$($expected),+] };
    (@expected) => { &[] };
}

units! {
    /// No unit: a plain number.
    One: Number, "", 1, 1, 3, []
    /// Hundredth part.
    Percent: Number, "%", 1, 100, 2, ["%", "percent", "percents"]

    /// mm.
    Millimetre: Length, "mm", 1, 1, 3, ["mm", "millimetre", "millimetres", "millimeter", "millimeters", "mil", "mils"]
    /// Micrometre, a thousandth of a millimetre.
    Micrometre: Length, "µm", 1, E3, 1, ["µm", "um", "micron", "microns", "micrometre", "micrometres", "micrometer", "micrometers"]
    /// cm.
    Centimetre: Length, "cm", 10, 1, 3, ["cm", "centimetre", "centimetres", "centimeter", "centimeters"]
    /// m.
    Metre: Length, "m", E3, 1, 3, ["m", "metre", "metres", "meter", "meters"]
    /// km.
    Kilometre: Length, "km", E6, 1, 3, ["km", "kilometre", "kilometres", "kilometer", "kilometers"]
    /// A thousandth of an inch. `mil` is asked about: in a British garage it is a millimetre.
    Thou: Length, "thou", 254, 10 * E3, 1, ["thou", "thous", "thousandth", "thousandths", "mil", "mils"]
    /// International inch.
    Inch: Length, "in", 254, 10, 4, ["in", "inch", "inches", "ins", "\""]
    /// 12 in.
    Foot: Length, "ft", 3_048, 10, 3, ["ft", "foot", "feet", "'"]
    /// 3 ft.
    Yard: Length, "yd", 9_144, 10, 3, ["yd", "yds", "yard", "yards"]
    /// Statute mile, 5280 ft.
    Mile: Length, "mi", 1_609_344, 1, 2, ["mi", "mile", "miles"]

    /// mm².
    SquareMillimetre: Area, "mm²", 1, 1, 2, ["mm2", "sqmm"]
    /// cm².
    SquareCentimetre: Area, "cm²", 100, 1, 3, ["cm2", "sqcm"]
    /// m².
    SquareMetre: Area, "m²", E6, 1, 3, ["m2", "sqm"]
    /// in².
    SquareInch: Area, "in²", 254 * 254, 100, 4, ["in2", "sqin", "squareinch", "squareinches"]
    /// ft².
    SquareFoot: Area, "ft²", 3_048 * 3_048, 100, 3, ["ft2", "sqft"]

    /// cm³, the same as a millilitre.
    CubicCentimetre: Volume, "cm³", 1, 1, 2, ["cm3", "cc", "ccm", "ml", "cucm", "millilitre", "millilitres", "milliliter", "milliliters"]
    /// mm³.
    CubicMillimetre: Volume, "mm³", 1, E3, 1, ["mm3"]
    /// Litre, the same as a dm³.
    Litre: Volume, "L", E3, 1, 3, ["l", "litre", "litres", "liter", "liters", "dm3", "ltr"]
    /// in³.
    CubicInch: Volume, "in³", 16_387_064, E6, 3, ["in3", "cuin", "cid", "cubicinch", "cubicinches"]
    /// Imperial fluid ounce, 1/160 UK gallon.
    FluidOunceUk: Volume, "UK fl oz", 454_609, 16 * E3, 2, ["flozuk", "ukfloz", "impfloz", "floz", "fluidounce", "fluidounces", "oz", "ounce", "ounces"]
    /// US fluid ounce, 1/128 US gallon.
    FluidOunceUs: Volume, "US fl oz", 231 * 16_387_064, 128 * E6, 2, ["flozus", "usfloz", "floz", "fluidounce", "fluidounces", "oz", "ounce", "ounces"]
    /// Imperial pint, 1/8 UK gallon.
    PintUk: Volume, "UK pt", 454_609, 800, 2, ["ukpt", "ukpint", "ukpints", "ptuk", "pintuk", "pintsuk", "imppt", "imppint", "pt", "pint", "pints"]
    /// US liquid pint, 1/8 US gallon.
    PintUs: Volume, "US pt", 231 * 16_387_064, 8 * E6, 2, ["uspt", "uspint", "uspints", "ptus", "pintus", "pintsus", "pt", "pint", "pints"]
    /// Imperial quart, 1/4 UK gallon.
    QuartUk: Volume, "UK qt", 454_609, 400, 2, ["ukqt", "ukquart", "ukquarts", "qtuk", "quartuk", "quartsuk", "impqt", "impquart", "qt", "quart", "quarts"]
    /// US liquid quart, 1/4 US gallon.
    QuartUs: Volume, "US qt", 231 * 16_387_064, 4 * E6, 2, ["usqt", "usquart", "usquarts", "qtus", "quartus", "quartsus", "qt", "quart", "quarts"]
    /// Imperial gallon, 4.54609 L.
    GallonUk: Volume, "UK gal", 454_609, 100, 3, ["ukgal", "ukgallon", "ukgallons", "galuk", "gallonuk", "gallonsuk", "impgal", "impgallon", "imperialgallon", "imperialgallons", "gal", "gallon", "gallons"]
    /// US liquid gallon, 231 in³.
    GallonUs: Volume, "US gal", 231 * 16_387_064, E6, 3, ["usgal", "usgallon", "usgallons", "galus", "gallonus", "gallonsus", "gal", "gallon", "gallons"]

    /// kg.
    Kilogram: Mass, "kg", 1, 1, 3, ["kg", "kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogramme", "kilogrammes"]
    /// g.
    Gram: Mass, "g", 1, E3, 1, ["g", "gram", "grams", "gramme", "grammes"]
    /// Metric tonne, 1000 kg.
    Tonne: Mass, "t", E3, 1, 3, ["t", "tonne", "tonnes", "ton", "tons"]
    /// Avoirdupois pound.
    PoundMass: Mass, "lb" ("lbm"), LB, LB_BOTTOM, 3, ["lbm", "lbav", "lb", "lbs", "pound", "pounds"]
    /// Avoirdupois ounce, 1/16 lb.
    OunceMass: Mass, "oz" ("oz av"), LB, 16 * LB_BOTTOM, 2, ["ozav", "ozm", "oz", "ounce", "ounces"]
    /// Hundredweight of 112 lb.
    Hundredweight: Mass, "UK cwt", 112 * LB, LB_BOTTOM, 2, ["ukcwt", "cwtuk", "cwt"]
    /// Hundredweight of 100 lb.
    HundredweightUs: Mass, "US cwt", 100 * LB, LB_BOTTOM, 2, ["uscwt", "cwtus", "cwt"]
    /// Long ton, 2240 lb.
    TonUk: Mass, "UK ton", 2_240 * LB, LB_BOTTOM, 3, ["ukton", "uktons", "longton", "longtons", "ton", "tons"]
    /// Short ton, 2000 lb.
    TonUs: Mass, "US ton", 2_000 * LB, LB_BOTTOM, 3, ["uston", "ustons", "shortton", "shorttons", "ton", "tons"]

    /// g/cm³, the same as kg/L.
    GramPerCubicCentimetre: Density, "g/cm³", 1, 1, 3, ["g/cm3", "g/cc", "g/ml", "kg/l", "kg/dm3"]
    /// kg/m³.
    KilogramPerCubicMetre: Density, "kg/m³", 1, E3, 1, ["kg/m3", "g/l"]

    /// N.
    Newton: Force, "N", 1, 1, 1, ["n", "newton", "newtons"]
    /// daN, 10 N.
    Decanewton: Force, "daN", 10, 1, 2, ["dan"]
    /// kN.
    Kilonewton: Force, "kN", E3, 1, 2, ["kn"]
    /// Kilogram-force, the same as a kilopond.
    KilogramForce: Force, "kgf", 980_665, 100 * E3, 2, ["kgf", "kp", "kilopond", "kiloponds"]; if ["kg", "kgs", "kilo", "kilos"]
    /// Pound-force.
    PoundForce: Force, "lbf", LBF, LBF_BOTTOM, 1, ["lbf", "poundforce", "lb", "lbs", "pound", "pounds"]
    /// Ounce-force, 1/16 lbf.
    OunceForce: Force, "ozf", LBF, 16 * LBF_BOTTOM, 2, ["ozf", "ounceforce"]; if ["oz", "ounce", "ounces"]

    /// N·m.
    NewtonMetre: Torque, "N·m", 1, 1, 1, ["nm", "newtonmetre", "newtonmetres", "newtonmeter", "newtonmeters"]
    /// N·cm.
    NewtonCentimetre: Torque, "N·cm", 1, 100, 1, ["ncm"]
    /// N·mm.
    NewtonMillimetre: Torque, "N·mm", 1, E3, 0, ["nmm"]
    /// daN·m, 10 N·m.
    DecanewtonMetre: Torque, "daN·m", 10, 1, 2, ["danm", "mdan"]
    /// Kilogram-force metre: older manuals write `kg m`, `mkp`, `mkg`.
    KilogramForceMetre: Torque, "kgf·m", 980_665, 100 * E3, 2, ["kgfm", "kgm", "mkg", "mkgf", "mkp", "kpm"]
    /// Kilogram-force centimetre.
    KilogramForceCentimetre: Torque, "kgf·cm", 980_665, 100 * 100 * E3, 1, ["kgfcm", "kgcm", "cmkg", "cmkgf", "cmkp", "kpcm"]
    /// Pound-force foot, 1.3558179483314004 N·m exactly.
    PoundForceFoot: Torque, "lbf·ft", LBF * 3_048, LBF_BOTTOM * 10 * E3, 1, ["lbfft", "lbft", "lbsft", "ftlb", "ftlbs", "ftlbf", "footpound", "footpounds", "poundfoot", "poundfeet", "poundsfeet", "lbfoot"]
    /// Pound-force inch, 1/12 lbf·ft.
    PoundForceInch: Torque, "lbf·in", LBF * 254, LBF_BOTTOM * 10 * E3, 1, ["lbfin", "lbin", "lbsin", "inlb", "inlbs", "inlbf", "inchpound", "inchpounds", "poundinch", "poundinches"]
    /// Ounce-force inch.
    OunceForceInch: Torque, "ozf·in", LBF * 254, 16 * LBF_BOTTOM * 10 * E3, 1, ["ozfin", "ozin", "inoz", "inozf"]

    /// kPa.
    Kilopascal: Pressure, "kPa", 1, 1, 1, ["kpa", "kilopascal", "kilopascals"]
    /// Pa.
    Pascal: Pressure, "Pa", 1, E3, 0, ["pa", "pascal", "pascals"]
    /// MPa, the same as N/mm².
    Megapascal: Pressure, "MPa", E3, 1, 1, ["MPa", "n/mm2"]
    /// bar, 100 kPa.
    Bar: Pressure, "bar", 100, 1, 3, ["bar", "bars"]
    /// mbar, the same as hPa.
    Millibar: Pressure, "mbar", 1, 10, 1, ["mbar", "hpa", "millibar", "millibars"]
    /// Pound-force per square inch.
    Psi: Pressure, "psi", LBF * 100, LBF_BOTTOM * 64_516 / 1_000, 1, ["psi", "lbf/in2", "lb/in2", "lbs/in2", "lbf/sqin", "lb/sqin", "lbs/sqin", "lbsin2"]
    /// Thousand pound-force per square inch.
    Ksi: Pressure, "ksi", LBF * 100 * E3, LBF_BOTTOM * 64_516 / 1_000, 2, ["ksi", "kpsi"]
    /// Kilogram-force per square centimetre, the technical atmosphere.
    KilogramForcePerSquareCentimetre: Pressure, "kgf/cm²", 980_665, 10 * E3, 3, ["kgf/cm2", "kg/cm2", "kp/cm2", "at"]
    /// Standard atmosphere, 101.325 kPa.
    Atmosphere: Pressure, "atm", 101_325, E3, 3, ["atm"]
    /// Conventional inch of mercury, 3386.388640341 Pa.
    InchOfMercury: Pressure, "inHg", 3_386_388_640_341, E6 * E6, 2, ["inhg"]
    /// Conventional millimetre of mercury, 133.322387415 Pa.
    MillimetreOfMercury: Pressure, "mmHg", 133_322_387_415, E6 * E6, 1, ["mmhg"]

    /// Degree of angle.
    Degree: Angle, "°", 1, 1, 2, ["°", "deg", "degs", "degree", "degrees"]
    /// Minute of angle, 1/60 degree.
    ArcMinute: Angle, "arcmin", 1, 60, 1, ["arcmin", "arcminute", "arcminutes"]; if ["'", "min", "minute", "minutes"]
    /// Second of angle, 1/3600 degree.
    ArcSecond: Angle, "arcsec", 1, 3_600, 0, ["arcsec", "arcsecond", "arcseconds"]; if ["\"", "s", "sec", "second", "seconds"]
    /// A whole turn, 360 degrees.
    Turn: Angle, "turn", 360, 1, 3, ["turn", "turns"]

    /// Degree Celsius.
    Celsius: Temperature, "°C", 1, 1, 1, ["°c", "c", "degc", "celsius", "centigrade", "degreescelsius"]; if ["°", "deg", "degree", "degrees"]
    /// Degree Fahrenheit.
    Fahrenheit: Temperature, "°F", 5, 9; -160, 9, 1, ["°f", "f", "degf", "fahrenheit", "degreesfahrenheit"]; if ["°", "deg", "degree", "degrees"]
    /// Kelvin.
    Kelvin: Temperature, "K", 1, 1; -27_315, 100, 2, ["k", "kelvin", "kelvins"]

    /// m/s.
    MetrePerSecond: Speed, "m/s", 1, 1, 2, ["m/s"]
    /// km/h.
    KilometrePerHour: Speed, "km/h", 10, 36, 1, ["km/h", "kmh", "kph"]
    /// Miles per hour.
    MilePerHour: Speed, "mph", 44_704, 100 * E3, 1, ["mph"]
    /// Feet per minute.
    FootPerMinute: Speed, "ft/min", 3_048, 600 * E3, 0, ["ft/min", "fpm"]

    /// Turns per minute.
    Rpm: Turning, "rpm", 1, 1, 0, ["rpm", "rev/min", "revs/min", "r/min", "1/min", "min⁻1"]; if ["revs", "rev"]
    /// Turns per second.
    TurnPerSecond: Turning, "rev/s", 60, 1, 2, ["rev/s", "revs/s", "r/s"]

    /// s.
    Second: Time, "s", 1, 1, 2, ["s", "sec", "secs", "second", "seconds"]
    /// ms.
    Millisecond: Time, "ms", 1, E3, 1, ["ms", "millisecond", "milliseconds"]
    /// min.
    Minute: Time, "min", 60, 1, 2, ["min", "mins", "minute", "minutes"]
    /// h.
    Hour: Time, "h", 3_600, 1, 2, ["h", "hr", "hrs", "hour", "hours"]

    /// N/mm.
    NewtonPerMillimetre: SpringRate, "N/mm", 1, 1, 2, ["n/mm", "kn/m"]
    /// kgf/mm.
    KilogramForcePerMillimetre: SpringRate, "kgf/mm", 980_665, 100 * E3, 3, ["kgf/mm", "kg/mm", "kp/mm"]
    /// lbf/in.
    PoundForcePerInch: SpringRate, "lbf/in", LBF * 10, LBF_BOTTOM * 254, 1, ["lbf/in", "lb/in", "lbs/in", "lb/inch", "lbs/inch"]

    /// V.
    Volt: Voltage, "V", 1, 1, 2, ["v", "volt", "volts"]
    /// mV.
    Millivolt: Voltage, "mV", 1, E3, 1, ["mv", "millivolt", "millivolts"]
    /// kV.
    Kilovolt: Voltage, "kV", E3, 1, 2, ["kv", "kilovolt", "kilovolts"]
    /// A.
    Ampere: Current, "A", 1, 1, 2, ["a", "amp", "amps", "ampere", "amperes"]
    /// mA.
    Milliampere: Current, "mA", 1, E3, 1, ["ma", "milliamp", "milliamps"]
    /// Ω.
    Ohm: Resistance, "Ω", 1, 1, 3, ["Ω", "ohm", "ohms"]
    /// mΩ.
    Milliohm: Resistance, "mΩ", 1, E3, 1, ["mΩ", "mohm", "mohms", "milliohm", "milliohms"]
    /// kΩ.
    Kiloohm: Resistance, "kΩ", E3, 1, 3, ["kΩ", "kohm", "kohms", "kiloohm", "kiloohms", "kilohm", "kilohms"]
    /// MΩ.
    Megaohm: Resistance, "MΩ", E6, 1, 3, ["MΩ", "Mohm", "megohm", "megohms", "megaohm"]
    /// W.
    Watt: Power, "W", 1, 1, 1, ["w", "watt", "watts"]
    /// kW.
    Kilowatt: Power, "kW", E3, 1, 2, ["kw", "kilowatt", "kilowatts"]
    /// Metric horsepower, 75 kgf·m/s.
    HorsepowerMetric: Power, "PS", 73_549_875, 100 * E3, 1, ["ps", "cv", "pk", "hpmetric", "metrichp", "hp", "horsepower"]
    /// Mechanical horsepower, 550 ft·lbf/s.
    HorsepowerMechanical: Power, "hp mech", LBF * 3_048 * 55, LBF_BOTTOM * 1_000, 1, ["hpmech", "bhp", "mechhp", "hp", "horsepower"]
}
