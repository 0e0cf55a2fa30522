//! Reading system files: what may stand in them, and how every error tells its place.
//!
//! Sources are named beside each check.

#[path = "support/typed.rs"]
mod typed;

use cavigram::materials::{
    Hazard, Mix, Parts, Shore, System, SystemError, SystemErrorKind, builtin, builtin_ids,
    builtin_toml,
};
use typed::{TYPED, near, typed, whole};

fn refused(toml: &str) -> SystemError {
    System::from_toml(toml).unwrap_err()
}

#[test]
fn bare_numbers_are_enough_for_a_users_file() {
    let system = typed();
    assert_eq!(system.components[1].parts.value, whole(50));
    assert_eq!(system.components[1].parts.source, None);
    assert_eq!(system.softener.unwrap().points.len(), 2);
}

#[test]
fn sources_dates_and_other_spellings_are_read() {
    let toml = TYPED
        .replace("parts = 50\nden", "parts = \"99/2\"\nden")
        .replace(
            "density_g_cm3 = 1.12",
            "density_g_cm3 = { value = 1, source = \"sheet\", date = 2026-11-25 }",
        )
        .replace("shore_a = 4", "shore_oo = 40\ntacky = true")
        .replace("family", "hazards = [\"isocyanate\"]\nfamily")
        + "[times]\ndemold_minutes = 90\n";
    let system = System::from_toml(&toml).unwrap();
    assert_eq!(system.components[1].parts.value.fraction(), (99, 2));
    let density = system.components[1].density_g_cm3.as_ref().unwrap();
    assert_eq!(density.value, 1.0);
    assert_eq!(density.source.as_deref(), Some("sheet"));
    assert_eq!(density.date.as_deref(), Some("2026-11-25"));
    let point = &system.softener.as_ref().unwrap().points[1];
    assert_eq!((point.scale, point.reading.value, point.tacky), (Shore::OO, 40.0, true));
    assert_eq!(system.times.demould_minutes.unwrap().value, 90.0);
    assert_eq!(system.hazards, [Hazard::Isocyanate]);
}

/// What is written wrong, where the error points, and words that it must say.
#[test]
fn errors_tell_line_column_and_what_is_expected() {
    for (from, to, place, words) in [
        ("density_g_cm3 = 1.02", "densty_g_cm3 = 1.02", (9, 1), "`density_g_cm3`"),
        ("density_g_cm3 = 1.02", "density_g_cm3 = 1020", (9, 17), "0.005 to 25 g/cm³"),
        ("density_g_cm3 = 1.02", "density_g_cm3 = nan", (9, 17), "0.005 to 25 g/cm³"),
        ("density_g_cm3 = 1.02", "density_g_cm3 = -1.02", (9, 17), "0.005 to 25 g/cm³"),
        ("density_g_cm3 = 1.02", "density_g_cm3 = \"1.02\"", (9, 17), "g/cm³"),
        ("density_g_cm3 = 1.02", "density_g_cm3 = true", (9, 17), "`value`"),
        ("density_g_cm3 = 1.02", "density_g_cm3 = { source = \"sheet\" }", (9, 17), "`value`"),
        ("density_g_cm3 = 1.02", "density_g_cm3 = { value = 1, unit = 2 }", (9, 30), "`source`"),
        ("density_g_cm3 = 1.02", "density_g_cm3 = { value = 1, date = \"May\" }", (9, 37), "2026-"),
        (
            "density_g_cm3 = 1.02",
            "density_g_cm3 = { value = 1, date = \"2026-02-31\" }",
            (9, 37),
            "2026-11-25",
        ),
        ("parts = 100", "parts = \"a lot\"", (8, 9), "3/2"),
        ("parts = 100", "parts = -1", (8, 9), "at most 10000"),
        ("parts = 100", "", (6, 1), "`parts`"),
        ("family = \"urethane\"", "family = \"rubber\"", (3, 10), "`addition-cure-silicone`"),
        ("ratio = \"weight\"", "ratio = \"1:1\"", (4, 9), "`volume`"),
        ("shore_a = 10", "shore_a = 101", (22, 11), "0 to 100"),
        ("parts = 100", "parts = = 100", (8, 9), ""),
    ] {
        let error = refused(&TYPED.replacen(from, to, 1));
        assert_eq!((error.line, error.column), place, "{to}: {error}");
        assert!(error.to_string().contains(words), "{to}: {error}");
        let of_reader = SystemErrorKind::Toml(String::new());
        let unknown = matches!(error.kind, SystemErrorKind::Unknown { .. });
        let same = std::mem::discriminant(&error.kind) == std::mem::discriminant(&of_reader);
        assert!(unknown || same, "{error:?}");
    }
}

#[test]
fn what_makes_no_sense_together_is_refused_with_its_line() {
    let foam = TYPED.replace("\"urethane\"", "\"foam\"");
    let moulded = "[density]\nmolded_g_cm3 = 0.1\n";
    for (toml, line, kind) in [
        (TYPED.replace("mine-1", "Mine 1"), 1, SystemErrorKind::Id("Mine 1".into())),
        (TYPED.replace("\"B\"", "\"A\""), 11, SystemErrorKind::SameName("A".into())),
        (TYPED.replace("parts = 100", "parts = 0"), 6, SystemErrorKind::NoParts("A".into())),
        (
            TYPED.replace("weight\"\n", "volume\"\n").replace("density_g_cm3 = 1.12", ""),
            11,
            SystemErrorKind::VolumeNeedsDensity("B".into()),
        ),
        (TYPED.replace("density_g_cm3 = 1.12", ""), 4, SystemErrorKind::NoDensity),
        (
            "id = \"a\"\ntitle = \"a\"\nfamily = \"urethane\"\nratio = \"weight\"\n".into(),
            4,
            SystemErrorKind::NoComponents,
        ),
        (foam.clone(), 3, SystemErrorKind::FoamNeedsMouldedDensity),
        (foam + moulded, 16, SystemErrorKind::FoamWithSoftener),
        (TYPED.to_owned() + moulded, 28, SystemErrorKind::MouldedDensityWithoutFoam),
        (TYPED.replace("shore_a = 10", ""), 20, SystemErrorKind::OneScale),
        (TYPED.replace("shore_a = 4", "shore_a = 4\nshore_d = 4"), 24, SystemErrorKind::OneScale),
        (TYPED.to_owned() + "[hardness]\n", 27, SystemErrorKind::OneScale),
        (TYPED.replace("= 4\n", "= 11\n"), 24, SystemErrorKind::PointsOutOfOrder(whole(50))),
        (
            TYPED.replace("parts = 50\nshore", "parts = 0\nshore"),
            24,
            SystemErrorKind::PointsOutOfOrder(whole(0)),
        ),
    ] {
        let error = refused(&toml);
        assert_eq!((error.line, &error.kind), (line, &kind), "{toml}");
    }
}

/// What a sheet gives beside a mix ratio, each key once; text where numbers may be text.
const MORE: &str = r#"
[thickener]
name = "silica"
density_g_cm3 = 2.2
usual_percent = 2
least_percent = 1.5
most_percent = 3
air_percent = 2

[pigment]
name = "paste"
specific_gravity = 1.2
usual_percent = 0.3
grams_per_drop = 0.03

[times]
working_minutes = 10
gel_minutes = 30
demould_minutes = "16 h"
full_cure_minutes = "7 d"
bond_from_minutes = 30
bond_until_minutes = 180
temperature_c = "77 F"
mass_g = 100

[build]
plain_mm = 0.4
thickened_mm = 1

[[packs]]
name = "kit"
contents_g = { B = 450, A = 900 }
price = 48.5
opened_life_days = 90
"#;

fn with_more(top: &str) -> String {
    TYPED.replacen("ratio = \"weight\"\n", &format!("ratio = \"weight\"\n{top}"), 1) + MORE
}

#[test]
fn all_that_a_sheet_gives_is_read() {
    let top = "weighing_order = [\"B\", \"A\", \"paste\"]\nviscosity_mpa_s = 1200\n\
               linear_shrinkage_percent = 0.2\n";
    let system = System::from_toml(&with_more(top)).unwrap();
    // Additives that the order leaves out come last.
    assert_eq!(system.weighing_order, ["B", "A", "paste", "softener", "silica"]);
    assert_eq!(system.viscosity_mpa_s.unwrap().value, 1200.0);
    assert_eq!(system.linear_shrinkage_percent.unwrap().value, 0.2);
    let thickener = system.thickener.unwrap();
    assert_eq!((thickener.name.as_str(), thickener.density_g_cm3.value), ("silica", 2.2));
    assert_eq!(thickener.dose.least_percent.unwrap().value, 1.5);
    assert_eq!(thickener.dose.most_percent.unwrap().value, 3.0);
    assert_eq!(thickener.air_percent.unwrap().value, 2.0);
    let pigment = system.pigment.unwrap();
    assert_eq!((pigment.density_g_cm3.value, pigment.dose.usual_percent.value), (1.2, 0.3));
    assert_eq!(pigment.dose.least_percent, None);
    let times = system.times;
    assert_eq!(times.demould_minutes.unwrap().value, 960.0);
    assert_eq!(times.full_cure_minutes.unwrap().value, 10_080.0);
    assert_eq!(times.bond_until_minutes.unwrap().value, 180.0);
    // 77 °F is 25 °C exactly.
    near(times.temperature_c.unwrap().value, 25.0, 1e-12);
    assert_eq!(times.mass_g.unwrap().value, 100.0);
    assert_eq!(system.build.thickened_mm.unwrap().value, 1.0);
    let [pack] = &system.packs[..] else { panic!("{:?}", system.packs) };
    let contents: Vec<_> = pack.contents_g.iter().map(|(n, g)| (n.as_str(), g.value)).collect();
    assert_eq!(contents, [("A", 900.0), ("B", 450.0)]);
    assert_eq!(pack.price.as_ref().unwrap().value.to_string(), "48.5");
    assert_eq!(pack.opened_life_days.as_ref().unwrap().value, 90.0);
}

/// A price is the decimal that was typed, never its nearest binary.
#[test]
fn prices_are_exact() {
    for (typed, exact) in
        [("0.1", "0.1"), ("\"19.90\"", "19.90"), ("0", "0"), ("1e3", "1000"), ("99.999", "99.999")]
    {
        let toml = with_more("").replace("price = 48.5", &format!("price = {typed}"));
        let system = System::from_toml(&toml).unwrap();
        assert_eq!(system.packs[0].price.as_ref().unwrap().value.to_string(), exact, "{typed}");
    }
    for typed in ["-1", "nan", "inf", "1e300", "1e-300", "\"12 EUR\"", "\"\"", "true", "[1]"] {
        let toml = with_more("").replace("price = 48.5", &format!("price = {typed}"));
        assert!(refused(&toml).to_string().contains("price such as 48.5"), "{typed}");
    }
}

/// in³/lb = 27.679905 / ρ: 1.02 → 27.1372, 1.04 → 26.6153, 1.08 → 25.6295, 1.18 → 23.4575
/// (references U3, from the exact inch and pound of NIST Handbook 44); specific gravity on the
/// basis of 1 g/cm³ (references U4).
#[test]
fn densities_are_read_in_whichever_unit_the_sheet_gives() {
    let density = |written: &str| {
        let toml = TYPED.replacen("density_g_cm3 = 1.02", written, 1);
        System::from_toml(&toml).unwrap().components[0].density_g_cm3.clone().unwrap()
    };
    for (volume, g_cm3) in
        [(27.679905, 1.0), (27.1372, 1.02), (26.6153, 1.04), (25.6295, 1.08), (23.4575, 1.18)]
    {
        near(density(&format!("specific_volume_in3_lb = {volume}")).value, g_cm3, 3e-6);
    }
    assert_eq!(density("specific_gravity = 1.07").value, 1.07);
    let sourced = "specific_volume_in3_lb = { value = 27, source = \"sheet\", date = 2026-11-25 }";
    assert_eq!(density(sourced).source.as_deref(), Some("sheet"));

    let whole = TYPED.to_owned()
        + "[density]\nmixed_specific_volume_in3_lb = 26.6153\ncured_specific_gravity = 1.05\n";
    let densities = System::from_toml(&whole).unwrap().densities;
    near(densities.mixed_g_cm3.unwrap().value, 1.04, 3e-6);
    assert_eq!(densities.cured_g_cm3.unwrap().value, 1.05);
}

/// Pours are sized by the liquid, the piece's weight by the cured rubber; softener is mixed to
/// either as one more liquid: 150 at 1.1 and 50 at 0.97 by ρ = Σm/Σ(m/ρ).
#[test]
fn the_cured_density_stands_beside_the_liquid_one() {
    let both = TYPED.to_owned() + "[density]\nmixed_g_cm3 = 1.04\ncured_g_cm3 = 1.1\n";
    let both = System::from_toml(&both).unwrap();
    let mix = Mix::new(&both, Parts::ZERO).unwrap();
    assert_eq!(mix.density_g_cm3, 1.04);
    near(mix.cured_density_g_cm3, 1.1, 1e-12);
    let softened = Mix::new(&both, whole(50)).unwrap();
    near(softened.cured_density_g_cm3, 200.0 / (150.0 / 1.1 + 50.0 / 0.97), 1e-12);
    // Without a cured density the piece is as dense as what was poured.
    let plain = Mix::new(&typed(), Parts::ZERO).unwrap();
    assert_eq!(plain.cured_density_g_cm3, plain.density_g_cm3);
    let foam = Mix::new(&builtin("foam-flexible").unwrap(), Parts::ZERO).unwrap();
    assert_eq!(foam.cured_density_g_cm3, 0.10);
}

/// Unknown keys and words are answered with the nearest one.
#[test]
fn a_mistyped_key_is_answered_with_the_nearest() {
    for (from, to, nearest) in [
        ("gel_minutes", "gell_minutes", "gel_minutes"),
        ("usual_percent = 2", "usual_prcent = 2", "usual_percent"),
        ("thickened_mm", "thickend_mm", "thickened_mm"),
        ("contents_g", "content_g", "contents_g"),
        ("[pigment]", "[pigmnt]", "pigment"),
        ("\"urethane\"", "\"uretane\"", "urethane"),
        ("A = 900", "a = 900", "A"),
    ] {
        let error = refused(&with_more("").replacen(from, to, 1));
        if to != "a = 900" {
            assert_eq!(error.hint(), Some(format!("did you mean `{nearest}`?")), "{error}");
        }
        assert!(error.to_string().contains(&format!("`{nearest}`")), "{error}");
    }
}

#[test]
fn what_contradicts_itself_is_refused() {
    let more = with_more("");
    let line = |toml: &str, text: &str| 1 + toml.lines().position(|l| l.contains(text)).unwrap();
    type Case<'a> = (&'a str, &'a str, &'a str, SystemErrorKind);
    let order = |less, more| SystemErrorKind::OutOfOrder { less, more };
    let cases: [Case<'_>; 15] = [
        (
            "usual_percent = 2",
            "usual_percent = 1",
            "usual_percent = 1",
            order("least_percent", "usual_percent"),
        ),
        (
            "most_percent = 3",
            "most_percent = 1",
            "usual_percent = 2",
            order("usual_percent", "most_percent"),
        ),
        (
            "gel_minutes = 30",
            "gel_minutes = 3",
            "gel_minutes",
            order("working_minutes", "gel_minutes"),
        ),
        (
            "full_cure_minutes = \"7 d\"",
            "full_cure_minutes = 7",
            "full_cure",
            order("demould_minutes", "full_cure_minutes"),
        ),
        (
            "bond_until_minutes = 180",
            "bond_until_minutes = 18",
            "bond_until",
            order("bond_from_minutes", "bond_until_minutes"),
        ),
        (
            "thickened_mm = 1",
            "thickened_mm = 0.1",
            "thickened_mm",
            order("plain_mm", "thickened_mm"),
        ),
        ("name = \"silica\"", "name = \"A\"", "[thickener]", SystemErrorKind::SameName("A".into())),
        ("name = \"paste\"", "name = \" \"", "name = \" \"", SystemErrorKind::Empty("name")),
        (
            "specific_gravity = 1.2\n",
            "",
            "name = \"paste\"",
            SystemErrorKind::MissingDensity("paste".into()),
        ),
        (
            "specific_gravity = 1.2\n",
            "specific_gravity = 1.2\ndensity_g_cm3 = 1.25\n",
            "density_g_cm3 = 1.25",
            SystemErrorKind::TwoDensities,
        ),
        ("B = 450, A = 900", "", "name = \"kit\"", SystemErrorKind::EmptyPack("kit".into())),
        (
            "B = 450, A = 900 }",
            "B = 450, A = 900 }\n[[packs]]\nname =  \"kit\"\ncontents_g = { A = 900 }",
            "name =  \"kit\"",
            SystemErrorKind::PackTwice("kit".into()),
        ),
        (
            "ratio = \"weight\"",
            "ratio = \"weight\"\nweighing_order = [\"A\", \"A\"]",
            "weighing_order",
            SystemErrorKind::NamedTwice("A".into()),
        ),
        (
            "ratio = \"weight\"",
            "ratio = \"weight\"\nweighing_order = [\"A\", \"silica\"]",
            "weighing_order",
            SystemErrorKind::LeftOut("B".into()),
        ),
        (
            "[build]",
            "[hardness]\nshore_a = 12\n[build]",
            "[hardness]",
            SystemErrorKind::TwoHardnesses,
        ),
    ];
    for (from, to, place, kind) in cases {
        let toml = more.replacen(from, to, 1);
        let error = refused(&toml);
        let at = line(&toml, place);
        assert_eq!((error.line, &error.kind), (at, &kind), "{to}: {error}");
    }
    let stranger = more.replacen("B = 450", "C = 450", 1);
    assert!(refused(&stranger).to_string().contains("nothing is named `C`"));
}

/// Numbers beyond their range, not finite, or of the wrong kind.
#[test]
fn every_number_has_its_range() {
    for (key, wrong) in [
        ("usual_percent = 2", &["0", "-1", "101", "nan", "inf", "1e999", "\"2\"", "[]", "{}"][..]),
        ("air_percent = 2", &["-0.1", "91", "nan"]),
        ("grams_per_drop = 0.03", &["0", "2", "nan", "-1"]),
        ("gel_minutes = 30", &["0", "-5", "1e6", "nan", "\"30 x\"", "\"h\"", "\"9e9 h\""]),
        ("temperature_c = \"77 F\"", &["-50", "300", "\"77\"", "\"77 K\"", "\"999 F\"", "nan"]),
        ("mass_g = 100", &["0", "-1", "1e12", "nan"]),
        ("plain_mm = 0.4", &["0", "51", "nan", "\"1/8in\""]),
        ("opened_life_days = 90", &["0", "-1", "1e9"]),
        ("specific_gravity = 1.2", &["0", "26", "1200", "nan"]),
        ("A = 900 }", &["0 }", "-1 }", "nan }", "\"900 g\" }", "1e300 }"]),
    ] {
        let name = key.split(" = ").next().unwrap();
        for value in wrong {
            let toml = with_more("").replacen(key, &format!("{name} = {value}"), 1);
            let error = System::from_toml(&toml).expect_err(&format!("{name} = {value}"));
            assert!(error.line > 20, "{name} = {value}: {error}");
        }
    }
}

#[test]
fn a_foam_takes_no_thickener() {
    let foam = builtin_toml("foam-flexible").unwrap();
    let thick = "[thickener]\nname = \"silica\"\ndensity_g_cm3 = 2.2\nusual_percent = 2\n";
    let error = refused(&format!("{foam}{thick}"));
    assert_eq!(error.kind, SystemErrorKind::FoamWithThickener);
}

#[test]
fn files_that_are_no_system_files_are_refused() {
    for text in ["", "\n\n", "\u{feff}", "id", "[[", "\0", "id = 3", "[id]", "= = ="] {
        assert!(System::from_toml(text).is_err(), "{text:?}");
    }
}

#[test]
fn cutting_a_file_anywhere_gives_a_system_or_an_error_but_no_panic() {
    for id in builtin_ids() {
        let toml = builtin_toml(id).unwrap();
        for end in (0..toml.len()).filter(|&end| toml.is_char_boundary(end)) {
            if let Err(error) = System::from_toml(&toml[..end]) {
                assert!(error.line <= toml[..end].lines().count() + 1, "{error}");
            }
        }
    }
}
