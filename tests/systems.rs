//! Casting systems: the built-in ones, reading TOML, look-up, mixtures, softness, cautions.
//!
//! Sources are named beside each check; "common practice" has none.

#[path = "support/typed.rs"]
mod typed;

use cavigram::materials::{
    By, DensityBasis, Family, HardnessBasis, Hazard, LookupError, Mix, MixError, Parts, Shore,
    System, Tack, builtin, builtin_ids, builtin_toml, cautions, mixture_density_g_cm3,
    unsourced_numbers,
};
use typed::{TYPED, near, typed, whole};

// ---- built-in systems ----

#[test]
fn every_number_of_a_built_in_has_unit_source_and_date() {
    for id in builtin_ids() {
        let toml = builtin_toml(id).unwrap();
        assert_eq!(unsourced_numbers(toml).unwrap(), [], "{id}");
    }
}

#[test]
fn a_number_without_source_date_or_unit_is_noticed_wherever_it_stands() {
    for id in builtin_ids() {
        let toml = builtin_toml(id).unwrap();
        let lines: Vec<&str> = toml.lines().collect();
        let numbers: Vec<usize> =
            (0..lines.len()).filter(|&i| lines[i].contains("value = ")).collect();
        assert!(numbers.len() >= 20, "{id} has {} numbers", numbers.len());
        for &i in &numbers {
            let line = lines[i];
            let source = &line[line.find(", source").unwrap()..line.find(", date").unwrap()];
            let date = &line[line.find(", date").unwrap()..line.find(" }").unwrap()];
            let key = line.split(' ').next().unwrap();
            for (doctored, missing) in [
                (line.replace(source, ""), "source"),
                (line.replace(source, ", source = \" \""), "source"),
                (line.replace(date, ""), "date"),
                (line.replace(date, ", date = \"lately\""), "date"),
                (line.replacen(key, "amount", 1), "unit in the key"),
            ] {
                // What a pack holds is told by names; the table's own key has the unit.
                let table = lines[..i].iter().rfind(|line| line.starts_with('['));
                if missing.starts_with("unit") && table == Some(&"[packs.contents_g]") {
                    continue;
                }
                let mut doctored_lines = lines.clone();
                doctored_lines[i] = &doctored;
                let found = unsourced_numbers(&doctored_lines.join("\n")).unwrap();
                assert_eq!(found.len(), 1, "{doctored}");
                assert_eq!(found[0].missing, missing, "{doctored}");
            }
        }
    }
}

#[test]
fn bare_numbers_are_noticed_with_their_keys() {
    let found = unsourced_numbers("[[components]]\ndensity_g_cm3 = 1.04\n").unwrap();
    let found: Vec<_> = found.iter().map(|u| (u.key.as_str(), u.missing)).collect();
    let key = "components[0].density_g_cm3";
    assert_eq!(found, [(key, "source"), (key, "date")]);
}

#[test]
fn the_built_in_systems_cover_skin_core_and_mould() {
    let families: Vec<Family> =
        builtin_ids().iter().map(|id| builtin(id).unwrap().family).collect();
    for family in [
        Family::Urethane,
        Family::AdditionCureSilicone,
        Family::CondensationCureSilicone,
        Family::Foam,
    ] {
        assert!(families.contains(&family), "{family:?}");
    }
    let firm = builtin("urethane-a5").unwrap();
    assert_eq!(firm.by, By::Weight);
    assert_eq!(firm.hardness.as_ref().map(|(scale, r)| (*scale, r.value)), Some((Shore::A, 5.0)));
    assert!(firm.softener.is_some());
    let soft = builtin("silicone-00-30").unwrap();
    assert_eq!(soft.hardness.as_ref().map(|(scale, _)| *scale), Some(Shore::OO));
    assert_eq!(builtin("urethane-a20-by-volume").unwrap().by, By::Volume);
}

/// Ranges: urethane 1.05–1.25 (collected tables after Cardarelli and the CRC handbook), very soft
/// urethane 0.97–1.08 and silicone rubber 1.05–1.35 (from memory), flexible foam 0.012–0.100
/// (Handbook of Polymer Foams, 5.6.1).
#[test]
fn built_in_densities_lie_in_the_published_ranges() {
    for (id, low, high) in [
        ("urethane-a5", 0.97, 1.08),
        ("urethane-a20-by-volume", 1.05, 1.25),
        ("silicone-00-30", 1.05, 1.35),
        ("mould-silicone-a25", 1.05, 1.35),
        ("mould-silicone-addition-a20", 1.05, 1.35),
        ("foam-flexible", 0.012, 0.100),
    ] {
        let mix = Mix::new(&builtin(id).unwrap(), Parts::ZERO).unwrap();
        let density = mix.filled_density_g_cm3;
        assert!((low..=high).contains(&density), "{id}: {density}");
    }
}

/// Where a built-in gives the mix's density, its components must come to the same within a typical
/// sheet's two decimals.
#[test]
fn given_and_computed_densities_agree() {
    let firm = builtin("urethane-a5").unwrap();
    let of_components = mixture_density_g_cm3(
        firm.components.iter().map(|c| (1.0, c.density_g_cm3.as_ref().unwrap().value)),
    );
    near(of_components.unwrap(), firm.densities.mixed_g_cm3.as_ref().unwrap().value, 0.005);
}

/// Every built-in has the fields that the bench needs; amounts are common practice, no source:
/// thickener 1.5–3 %, pigment 0.1–1 % at 0.03 g a drop, a thickened coat thicker than a plain one.
#[test]
fn built_ins_tell_all_that_the_bench_asks() {
    for id in builtin_ids() {
        let system = builtin(id).unwrap();
        let times = &system.times;
        let known = [
            &times.working_minutes,
            &times.gel_minutes,
            &times.demould_minutes,
            &times.full_cure_minutes,
            &times.temperature_c,
            &times.mass_g,
            &system.viscosity_mpa_s,
        ];
        assert!(known.iter().all(|value| value.is_some()), "{id}");
        assert!(!system.packs.is_empty() && !system.weighing_order.is_empty(), "{id}");
        let pigment = system.pigment.as_ref().unwrap();
        assert_eq!(pigment.dose.usual_percent.value, 0.3, "{id}");
        assert_eq!(pigment.grams_per_drop.as_ref().unwrap().value, 0.03, "{id}");
        assert_eq!(system.thickener.is_none(), system.family == Family::Foam, "{id}");
        let Some(thickener) = &system.thickener else { continue };
        assert_eq!(thickener.dose.usual_percent.value, 2.0, "{id}");
        let build = &system.build;
        let (plain, thick) = (build.plain_mm.as_ref(), build.thickened_mm.as_ref());
        assert!(plain.unwrap().value < thick.unwrap().value, "{id}");
        assert!(times.bond_until_minutes.is_some() && system.linear_shrinkage_percent.is_some());
    }
    let week = builtin("urethane-a5").unwrap().times.full_cure_minutes.unwrap();
    assert_eq!(week.value, 7.0 * 24.0 * 60.0);
}

/// A softened gel is slower: common practice, no source.
#[test]
fn more_softener_makes_the_times_of_a_built_in_longer() {
    let softener = builtin("urethane-a5").unwrap().softener.unwrap();
    let factors: Vec<f64> =
        softener.points.iter().map(|p| p.times_factor.as_ref().unwrap().value).collect();
    assert!(factors.windows(2).all(|pair| pair[0] < pair[1]), "{factors:?}");
}

// ---- look-up ----

#[test]
fn an_id_may_be_typed_in_several_ways() {
    for (typed, id) in [
        ("urethane-a5", "urethane-a5"),
        (" Urethane_A5 ", "urethane-a5"),
        ("silicone-oo-30", "silicone-00-30"),
        ("Silicone OO 30", "silicone-00-30"),
        ("mold-silicone-a25", "mould-silicone-a25"),
    ] {
        assert_eq!(builtin(typed).unwrap().id, id, "{typed}");
        assert_eq!(builtin_toml(typed), builtin_toml(id), "{typed}");
    }
}

#[test]
fn an_unknown_id_is_answered_with_all_ids_and_the_nearest() {
    for (typed, expected) in [
        ("urethan-a5", Some("urethane-a5")),
        ("urethane-5", Some("urethane-a5")),
        ("silicone-00-20", Some("silicone-00-30")),
        ("moldsilicone-a25", Some("mould-silicone-a25")),
        ("foam", Some("foam-flexible")),
        ("", None),
        ("zzzzzzzz", None),
    ] {
        let error = builtin(typed).unwrap_err();
        let LookupError::Unknown { known, nearest, .. } = &error else { panic!("{error:?}") };
        assert_eq!(known, &builtin_ids());
        assert_eq!(nearest, &expected, "{typed}");
        for id in builtin_ids() {
            assert!(error.to_string().contains(id), "{error}");
        }
        assert_eq!(error.hint(), expected.map(|id| format!("did you mean `{id}`?")));
    }
}

// ---- mixtures ----

/// Conservation of mass and volume: 100 A (1.02) : 50 B (1.12) by mass is 1.051288, with 50 of
/// softener (0.97) 1.029715 (references, U6).
#[test]
fn density_of_a_mixture_by_mass() {
    let system = typed();
    let plain = Mix::new(&system, Parts::ZERO).unwrap();
    near(plain.density_g_cm3, 1.051288, 5e-7);
    assert_eq!(plain.basis, DensityBasis::Components);
    assert_eq!(plain.mass_ratio.as_deref(), Some(&[2, 1][..]));
    let softened = Mix::new(&system, whole(50)).unwrap();
    near(softened.density_g_cm3, 1.029715, 5e-7);
    assert_eq!(softened.mass_ratio.as_deref(), Some(&[2, 1, 1][..]));
    assert_eq!(softened.parts[2].name, "softener");
}

/// 1:1 by volume of 1.02 and 1.12 is 100 : 109.804 by mass (references, U6); equal volumes have
/// the mean of the densities.
#[test]
fn parts_by_volume_become_masses() {
    let mix = Mix::new(&builtin("urethane-a20-by-volume").unwrap(), Parts::ZERO).unwrap();
    near(100.0 * mix.parts[1].mass_share / mix.parts[0].mass_share, 109.804, 5e-4);
    near(mix.density_g_cm3, 1.07, 1e-12);
    assert_eq!(mix.mass_ratio.as_deref(), Some(&[51, 56][..]));
    assert_eq!(mix.parts[0].parts, mix.parts[1].parts);
}

/// Softener to 1:1 by weight: 1 part gives 1:1:1, 2 parts 1:1:2 (common practice); in weighing
/// order, the softener stirred into A.
#[test]
fn softener_is_a_further_component() {
    let firm = builtin("urethane-a5").unwrap();
    for (softener, ratio) in [(1, [1, 1, 1]), (2, [1, 2, 1])] {
        let mix = Mix::new(&firm, whole(softener)).unwrap();
        assert_eq!(mix.mass_ratio.as_deref(), Some(&ratio[..]));
    }
    let half = Mix::new(&firm, "1/2".parse().unwrap()).unwrap();
    assert_eq!(half.mass_ratio.as_deref(), Some(&[2, 1, 2][..]));
    let silicone = builtin("silicone-00-30").unwrap();
    let error = Mix::new(&silicone, whole(1)).unwrap_err();
    assert_eq!(error, MixError::NoSoftener { system: "silicone-00-30".into() });
}

/// The sheet's density of the mix comes before the computed one, the liquid's before the cured;
/// softener is mixed to it as one more liquid: 150 at 1.1 and 50 at 0.97 by ρ = Σm/Σ(m/ρ).
#[test]
fn a_density_on_the_sheet_wins() {
    let cured = TYPED.to_owned() + "[density]\ncured_g_cm3 = 1.09\n";
    let mix = Mix::new(&System::from_toml(&cured).unwrap(), Parts::ZERO).unwrap();
    assert_eq!((mix.density_g_cm3, mix.basis), (1.09, DensityBasis::Cured));
    let both = System::from_toml(&(cured + "mixed_g_cm3 = 1.1\n")).unwrap();
    let mix = Mix::new(&both, Parts::ZERO).unwrap();
    near(mix.density_g_cm3, 1.1, 1e-12);
    assert_eq!(mix.basis, DensityBasis::Mixed);
    let softened = Mix::new(&both, whole(50)).unwrap();
    near(softened.density_g_cm3, 200.0 / (150.0 / 1.1 + 50.0 / 0.97), 1e-12);
}

#[test]
fn a_system_made_by_hand_is_checked_too() {
    let mut empty = typed();
    empty.components.clear();
    assert_eq!(Mix::new(&empty, Parts::ZERO), Err(MixError::Empty { system: "mine-1".into() }));
    let mut blind = typed();
    blind.components[0].density_g_cm3 = None;
    let no_density = Err(MixError::NoDensity { system: "mine-1".into() });
    assert_eq!(Mix::new(&blind, Parts::ZERO), no_density);
    blind.components[0].density_g_cm3 = Some(cavigram::materials::Sourced::bare(0.0));
    assert_eq!(Mix::new(&blind, Parts::ZERO), no_density);
    assert_eq!(mixture_density_g_cm3([]), None);
}

// ---- softness ----

/// A Shore A 5 urethane with 1 part softener to 1:1 comes to about Shore 00-30, with 2 parts to
/// about 00-20, tacky (common practice).
#[test]
fn measured_softness() {
    let firm = builtin("urethane-a5").unwrap();
    for (parts, scale, reading, tack) in [
        (0, Shore::A, 5.0, Tack::Dry),
        (1, Shore::OO, 30.0, Tack::Dry),
        (2, Shore::OO, 20.0, Tack::Tacky),
    ] {
        let h = firm.hardness_with(whole(parts)).unwrap();
        assert_eq!((h.scale, h.reading, h.tack), (scale, reading, tack));
        assert_eq!(h.basis, HardnessBasis::Measured);
    }
    assert_eq!(firm.softener.unwrap().tacky_from(), Some(whole(2)));
}

#[test]
fn softness_between_points_is_interpolated_in_one_scale() {
    let firm = builtin("urethane-a5").unwrap();
    let h = firm.hardness_with("1.5".parse().unwrap()).unwrap();
    assert_eq!((h.scale, h.reading, h.tack), (Shore::OO, 25.0, Tack::Between));
    assert_eq!(
        h.basis,
        HardnessBasis::Interpolated { between: (whole(1), whole(2)), readings: (30.0, 20.0) }
    );

    // Shore A at 0 and Shore 00 at 50 parts: nothing between them in either scale.
    let mixed = System::from_toml(&TYPED.replace("shore_a = 4", "shore_00 = 40")).unwrap();
    let h = mixed.hardness_with(whole(40)).unwrap();
    assert_eq!((h.scale, h.reading), (Shore::OO, 40.0));
    assert_eq!(h.basis, HardnessBasis::Outside { nearest: whole(50) });
}

#[test]
fn softness_is_never_extrapolated() {
    let firm = builtin("urethane-a5").unwrap();
    let h = firm.hardness_with(whole(3)).unwrap();
    assert_eq!((h.scale, h.reading, h.tack), (Shore::OO, 20.0, Tack::Tacky));
    assert_eq!(h.basis, HardnessBasis::Outside { nearest: whole(2) });
    // Beyond the last dry point nobody knows whether it is tacky.
    assert_eq!(typed().hardness_with(whole(60)).unwrap().tack, Tack::Between);
    assert_eq!(builtin("foam-flexible").unwrap().hardness_with(Parts::ZERO), None);
}

// ---- care ----

#[test]
fn cautions_follow_from_hazards_each_once() {
    let firm = builtin("urethane-a5").unwrap();
    let silicone = builtin("silicone-00-30").unwrap();
    let mut own = typed();
    own.cautions = vec!["Smells of almonds.".into()];
    let all = cautions([&firm, &silicone, &firm, &own, &own], &[Hazard::Dust, Hazard::Dust]);
    let hazards: Vec<_> = all.iter().map(|c| c.hazard).collect();
    assert_eq!(
        hazards,
        [
            None,
            Some(Hazard::Isocyanate),
            Some(Hazard::Dust),
            Some(Hazard::Exotherm),
            Some(Hazard::CureInhibition),
            Some(Hazard::Vacuum),
            None
        ]
    );
    assert!(all[0].text.contains("safety data sheet"));
    assert!(all[0].text.contains("Nothing here says that a cured piece is fit for contact"));
    // The duty to train: Regulation (EU) 2020/1149, REACH Annex XVII entry 74.
    assert!(all[1].text.contains("entry 74"));
    assert!(all[4].text.contains("no latex gloves"));
    assert_eq!(all[6].text, "Smells of almonds.");
}

#[test]
fn every_urethane_and_foam_built_in_warns_of_isocyanates() {
    for id in builtin_ids() {
        let system = builtin(id).unwrap();
        let urethane = matches!(system.family, Family::Urethane | Family::Foam);
        assert_eq!(system.hazards.contains(&Hazard::Isocyanate), urethane, "{id}");
        assert!(!system.hazards.is_empty(), "{id}");
    }
}
