//! From a wished hardness to parts of softener, and back.

use cavigram::bounds::Bounds;
use cavigram::finding::{Finding, Severity};
use cavigram::materials::{
    HardnessBasis, Parts, Shore, ShoreReading, SoftenerForError, System, Tack, builtin,
};
use cavigram::plan::{LayerVolumes, PlanRequest, Recipe, TwoPart, WallFacts, plan};
use proptest::prelude::*;

fn wish(text: &str) -> ShoreReading {
    text.parse().unwrap()
}

fn parts(text: &str) -> Parts {
    text.parse().unwrap()
}

/// A system with these softener points, hardest first, in Shore 00.
fn measured(points: &[(f64, f64)], more: &str) -> System {
    let mut toml = "id = \"own\"\ntitle = \"own\"\nfamily = \"urethane\"\nratio = \"weight\"\n\
                    components = [{ name = \"A\", parts = 1, density_g_cm3 = 1 }]\n"
        .to_owned();
    toml += more;
    toml += "[softener]\nname = \"oil\"\ndensity_g_cm3 = 0.97\n";
    for (parts, reading) in points {
        toml += &format!("[[softener.points]]\nparts = {parts:?}\nshore_00 = {reading:?}\n");
    }
    System::from_toml(&toml).unwrap()
}

/// A Shore A 5 urethane with 1 part softener to 1:1 comes to about Shore 00-30, with 2 parts to
/// about 00-20, tacky (common practice, no source).
#[test]
fn the_usual_urethane_is_softened_as_practice_has_it() {
    let firm = builtin("urethane-a5").unwrap();
    for (wished, found, tack) in [
        ("00-30", "1", Tack::Dry),
        ("00-20", "2", Tack::Tacky),
        ("00-25", "1.5", Tack::Between),
        ("A5", "0", Tack::Dry),
        ("00-45", "0", Tack::Dry),
    ] {
        let softener = firm.softener_for(wish(wished)).unwrap();
        assert_eq!((softener.parts, softener.nearest), (parts(found), None), "{wished}");
        assert_eq!(firm.hardness_with(softener.parts).unwrap().tack, tack, "{wished}");
    }
}

#[test]
fn outside_the_measured_points_the_nearest_is_taken_and_told() {
    let firm = builtin("urethane-a5").unwrap();
    for (wished, found, nearest) in
        [("00-10", "2", "00-20"), ("00-60", "0", "00-45"), ("A3", "0", "A5"), ("A20", "0", "A5")]
    {
        let softener = firm.softener_for(wish(wished)).unwrap();
        assert_eq!(softener.parts, parts(found), "{wished}");
        assert_eq!(softener.nearest, Some(wish(nearest)), "{wished}");
    }
}

/// Readings of one durometer type have no simple relation to those of another (references H5, the
/// scope of ISO 868): they are never turned into one another.
#[test]
fn another_scale_is_refused_with_the_scales_that_were_measured() {
    let firm = builtin("urethane-a5").unwrap();
    let error = firm.softener_for(wish("D20")).unwrap_err();
    let measured = vec![Shore::OO, Shore::A];
    let expected =
        SoftenerForError::OtherScale { system: firm.id.clone(), asked: Shore::D, measured };
    assert_eq!(error, expected);
    assert!(error.to_string().ends_with("in 00 and A"), "{error}");
    let only_00 = self::measured(&[(0.0, 40.0), (1.0, 20.0)], "");
    assert!(matches!(only_00.softener_for(wish("A5")), Err(SoftenerForError::OtherScale { .. })));
}

#[test]
fn a_system_without_softener_gives_only_what_it_is() {
    let silicone = builtin("silicone-00-30").unwrap();
    assert_eq!(silicone.softener_for(wish("00-30")).unwrap().parts, Parts::ZERO);
    for wished in ["00-20", "00-40", "A30"] {
        let error = silicone.softener_for(wish(wished)).unwrap_err();
        assert!(matches!(error, SoftenerForError::NoSoftener { .. }), "{wished}: {error}");
        assert!(error.to_string().contains("is Shore 00-30"), "{error}");
        assert!(!error.hint().is_empty());
    }
    let unmeasured = measured(&[], "");
    let error = unmeasured.softener_for(wish("00-20")).unwrap_err();
    assert_eq!(error, SoftenerForError::NotMeasured { system: "own".to_owned() });
}

/// A system's own hardness counts as 0 parts in its scale, forth and back.
#[test]
fn the_own_hardness_is_a_point_of_its_scale() {
    let system = measured(&[(50.0, 20.0)], "hardness = { shore_00 = 40 }\n");
    let softener = system.softener_for(wish("00-30")).unwrap();
    assert_eq!(softener.parts, parts("25"));
    let back = system.hardness_with(softener.parts).unwrap();
    assert_eq!(back.reading, 30.0);
    let between = (Parts::ZERO, parts("50"));
    assert_eq!(back.basis, HardnessBasis::Interpolated { between, readings: (40.0, 20.0) });
}

/// Equal readings with different amounts: the least softener does it.
#[test]
fn a_level_piece_takes_the_least_softener() {
    let system = measured(&[(0.0, 40.0), (1.0, 30.0), (2.0, 30.0), (3.0, 20.0)], "");
    assert_eq!(system.softener_for(wish("00-30")).unwrap().parts, parts("1"));
}

// ---- in a plan ----

fn core_of(request: &PlanRequest) -> Vec<Finding> {
    let volumes = LayerVolumes {
        skin_mm3: Bounds::ZERO,
        coats: vec![],
        core_mm3: Bounds::exact(200_000.0),
        cap_mm3: Bounds::ZERO,
        inner_face_mm2: 0.0,
        level_area_mm2: 0.0,
        opening_area_mm2: 100.0,
        wall: WallFacts::default(),
        two_part: TwoPart::default(),
    };
    plan(&volumes, request).unwrap().findings
}

fn with(softener: &str, wished: Option<&str>) -> Vec<Finding> {
    let usual = PlanRequest::typical().unwrap();
    let core = Recipe::for_core(builtin("urethane-a5").unwrap(), Some(parts(softener)));
    core_of(&PlanRequest { core, core_hardness: wished.map(wish), ..usual })
}

#[test]
fn an_interpolated_hardness_names_its_neighbours_with_their_readings() {
    let findings = with("1.5", Some("00-25"));
    let told = findings.iter().find(|f| f.code == "hardness-interpolated").unwrap();
    for words in ["Shore 00 25", "1 parts (measured 30)", "2 parts (20)"] {
        assert!(told.message.contains(words), "{}", told.message);
    }
    assert!(!findings.iter().any(|f| f.code == "hardness-out-of-reach"));
    // Bare, it may stay tacky.
    let tacky = findings.iter().find(|f| f.code == "tacky").unwrap();
    assert_eq!(tacky.severity, Severity::Warning);
}

#[test]
fn a_wish_out_of_reach_is_a_warning() {
    for (softener, wished, words) in [("2", "00-10", "softest"), ("0", "00-60", "hardest")] {
        let findings = with(softener, Some(wished));
        let told = findings.iter().find(|f| f.code == "hardness-out-of-reach").unwrap();
        assert_eq!(told.severity, Severity::Warning);
        assert!(told.message.contains(words) && told.message.contains(wished), "{}", told.message);
    }
}

proptest! {
    /// More softener is never harder, and a wish between the points is met within what rounding
    /// the parts may change.
    #[test]
    fn softer_takes_more_and_the_way_back_meets_the_wish(
        steps in prop::collection::vec((0.1_f64..20.0, 0.5_f64..20.0), 1..5),
        share in 0.0_f64..1.0,
        other in 0.0_f64..1.0,
    ) {
        let (mut amount, mut reading) = (0.0, 90.0);
        let mut points = vec![(amount, reading)];
        for (more, softer) in steps {
            amount += (more * 10.0_f64).round() / 10.0;
            reading -= (softer * 10.0).round() / 10.0;
            amount = (amount * 10.0_f64).round() / 10.0;
            reading = (reading * 10.0_f64).round() / 10.0;
            points.push((amount, reading));
        }
        let system = measured(&points, "");
        let (hardest, softest) = (points[0].1, points[points.len() - 1].1);
        let at = |share: f64| ShoreReading {
            scale: Shore::OO,
            reading: softest + share * (hardest - softest),
        };
        let found = system.softener_for(at(share)).unwrap();
        prop_assert_eq!(found.nearest, None);
        let back = system.hardness_with(found.parts).unwrap();
        prop_assert_eq!(back.scale, Shore::OO);
        // Half a step of the parts on the steepest piece.
        let steepest = points
            .windows(2)
            .map(|pair| {
                let long = pair[1].0 - pair[0].0;
                let step = if long > 0.5 { 0.025 } else { 0.005 };
                step * (pair[0].1 - pair[1].1) / long
            })
            .fold(0.0, f64::max);
        prop_assert!((back.reading - at(share).reading).abs() <= steepest + 1e-9);

        let second = system.softener_for(at(other)).unwrap();
        let softer_one = if share < other { found } else { second };
        let harder_one = if share < other { second } else { found };
        prop_assert!(softer_one.parts.as_f64() >= harder_one.parts.as_f64());
        let readings = [harder_one, softer_one].map(|s| system.hardness_with(s.parts).unwrap().reading);
        prop_assert!(readings[0] >= readings[1]);
    }

    /// Any text is a hardness or an error.
    #[test]
    fn any_text_is_a_hardness_or_an_error(text in "\\PC{0,12}") {
        if let Ok(read) = text.parse::<ShoreReading>() {
            prop_assert!((0.0..=100.0).contains(&read.reading));
            let shown = read.to_string().parse::<ShoreReading>().unwrap();
            prop_assert_eq!(shown.scale, read.scale);
            prop_assert!((shown.reading - read.reading).abs() <= 0.05 + 1e-9);
        }
    }
}
