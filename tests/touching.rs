//! Who touches whom: the table, and what a plan tells of it. All of it common practice, no source
//! (references B8 and P16); the data sheet wins.

use cavigram::bounds::Bounds;
use cavigram::finding::{Finding, Severity};
use cavigram::materials::{
    Family, Outcome, Surface, System, Touching, builtin, builtin_toml, contact, family_words,
};
use cavigram::plan::{
    CoatVolume, LayerVolumes, PlanRequest, Recipe, TwoPart, WallFacts, mould_not_checked, plan,
};

const SURFACES: [Surface; 3] = [Surface::Gelled, Surface::Cured, Surface::Fresh];
/// What layers are made of.
const POURED: [Family; 5] = [
    Family::Urethane,
    Family::AdditionCureSilicone,
    Family::CondensationCureSilicone,
    Family::Foam,
    Family::Latex,
];

// ---- the table ----

#[test]
fn every_pair_has_an_answer_with_a_reason() {
    assert_eq!(Family::all().count(), 12);
    for poured in Family::all() {
        for onto in Family::all() {
            for surface in SURFACES {
                let told = contact(poured, onto, surface);
                assert!(told.reason.len() > 10, "{poured} on {onto}");
                // A plain text, which stands in the middle of a sentence.
                assert!(!told.reason.ends_with('.'), "{poured} on {onto}");
                // On what is cured nothing bonds by itself that is then to come off again.
                if surface != Surface::Gelled {
                    assert!(!told.outcome.holds(), "{poured} on {onto}");
                }
            }
        }
    }
}

/// Two layers hold together or they don't, whichever lies below.
#[test]
fn whether_layers_hold_does_not_depend_on_their_order() {
    for a in POURED {
        for b in POURED {
            let [one, other] =
                [(a, b), (b, a)].map(|(p, o)| contact(p, o, Surface::Gelled).outcome);
            assert_eq!(one.holds(), other.holds(), "{a} and {b}");
            // Nor does doubt depend on it, where nothing is inhibited.
            let known = |o: Outcome| o != Outcome::TestPatch;
            if one != Outcome::Inhibits && other != Outcome::Inhibits {
                assert_eq!(known(one), known(other), "{a} and {b}");
            }
        }
    }
}

#[test]
fn like_bonds_to_like_in_layers_and_needs_release_in_a_mould() {
    for family in POURED {
        assert!(contact(family, family, Surface::Gelled).outcome.holds(), "{family}");
        let mould = contact(family, family, Surface::Cured).outcome;
        assert_eq!(mould, Outcome::NeedsRelease, "{family}");
    }
    let urethane = contact(Family::Urethane, Family::Urethane, Surface::Gelled).outcome;
    assert_eq!(urethane, Outcome::BondsWhileTacky);
}

/// References B8 and P16, both common practice without a source.
#[test]
fn the_known_cases() {
    use Family::{
        AdditionCureSilicone as Addition, CondensationCureSilicone as Condensation, Foam, Latex,
        Plaster, PrintedResin, RigidPlastic, SulphurClay, Urethane,
    };
    for (poured, onto, surface, expected) in [
        (Addition, SulphurClay, Surface::Cured, Outcome::Inhibits),
        (Addition, Condensation, Surface::Cured, Outcome::Inhibits),
        (Addition, PrintedResin, Surface::Cured, Outcome::Inhibits),
        (Addition, Latex, Surface::Cured, Outcome::Inhibits),
        (Addition, Urethane, Surface::Gelled, Outcome::Inhibits),
        (Condensation, SulphurClay, Surface::Cured, Outcome::NoBond),
        (Urethane, Condensation, Surface::Fresh, Outcome::Inhibits),
        (Urethane, Condensation, Surface::Cured, Outcome::NoBond),
        (Urethane, Addition, Surface::Cured, Outcome::NoBond),
        (Urethane, Addition, Surface::Gelled, Outcome::NoBond),
        (Urethane, Foam, Surface::Gelled, Outcome::BondsWhileTacky),
        (Urethane, Plaster, Surface::Cured, Outcome::NeedsRelease),
        (Urethane, RigidPlastic, Surface::Cured, Outcome::NeedsRelease),
        (Condensation, Urethane, Surface::Gelled, Outcome::NoBond),
    ] {
        assert_eq!(contact(poured, onto, surface).outcome, expected, "{poured} on {onto}");
    }
}

/// The page for users tells the same as the table: rows of what lies there, columns of what is
/// poured.
#[test]
fn the_page_on_systems_tells_the_same_table() {
    let page = include_str!("../docs/systems.md");
    let outcome = |cell: &str| match cell.split([' ', ',']).next().unwrap() {
        "release" => Outcome::NeedsRelease,
        "test" => Outcome::TestPatch,
        "comes" => Outcome::NoBond,
        "does" | "may" => Outcome::Inhibits,
        other => panic!("{other}"),
    };
    let rows = page.lines().skip_while(|l| !l.starts_with("| poured on")).skip(2);
    let mut told = 0;
    for row in rows.take_while(|l| l.starts_with('|')) {
        let cells: Vec<&str> = row.trim_matches('|').split('|').map(str::trim).collect();
        for lies in cells[0].split(", ") {
            let onto: Family = lies.parse().unwrap();
            for (cell, poured) in cells[1..].iter().zip([
                Family::Urethane,
                Family::AdditionCureSilicone,
                Family::CondensationCureSilicone,
            ]) {
                let (cured, fresh) = cell.split_once("; just made: ").unwrap_or((cell, cell));
                let of = |surface| contact(poured, onto, surface).outcome;
                assert_eq!(of(Surface::Cured), outcome(cured), "{poured} on {onto}");
                assert_eq!(of(Surface::Fresh), outcome(fresh), "{poured} on {onto}, just made");
                told += 1;
            }
        }
    }
    // Every family, some by several words: wax, metal and glass, wood and fibre apart.
    assert_eq!(told, 3 * 15);
}

#[test]
fn materials_are_read_from_words() {
    for (word, family) in family_words().into_iter().zip(Family::all()) {
        assert_eq!(word.parse(), Ok(family));
        assert_eq!(word.replace('-', " ").to_uppercase().parse(), Ok(family), "{word}");
        assert_eq!(family.as_str(), word);
        // Files use the same words.
        let file = builtin_toml("silicone-00-30").unwrap();
        let file = file.replacen("addition-cure-silicone", word, 1);
        let read = System::from_toml(&file);
        if family != Family::Foam {
            assert_eq!(read.unwrap().family, family);
        }
    }
    for (typed, family) in [
        ("polyurethane", Family::Urethane),
        ("platinum silicone", Family::AdditionCureSilicone),
        ("tin_silicone", Family::CondensationCureSilicone),
        ("sulfur-clay", Family::SulphurClay),
        ("wax", Family::PlainClay),
        ("wood-or-fiber", Family::WoodOrFibre),
    ] {
        assert_eq!(typed.parse(), Ok(family), "{typed}");
    }
    let unknown = "urethene".parse::<Family>().unwrap_err();
    assert_eq!(unknown.hint().as_deref(), Some("did you mean `urethane`?"));
    assert!(family_words().iter().all(|word| unknown.to_string().contains(word)), "{unknown}");
    assert_eq!("".parse::<Family>().unwrap_err().hint(), None);
}

// ---- in a plan ----

/// Skin, core and cap of some piece; each may be left out.
fn volumes(skin: bool, core: bool, cap: bool) -> LayerVolumes {
    let volume = |some: bool| if some { Bounds::exact(50_000.0) } else { Bounds::ZERO };
    let coat = CoatVolume { thickness_mm: 2.0, volume_mm3: volume(true), flange_mm3: 0.0 };
    LayerVolumes {
        skin_mm3: volume(skin),
        coats: if skin { vec![coat] } else { vec![] },
        core_mm3: volume(core),
        cap_mm3: volume(cap),
        inner_face_mm2: 25_000.0,
        level_area_mm2: 10_000.0,
        opening_area_mm2: 10_000.0,
        wall: WallFacts::default(),
        two_part: TwoPart::default(),
    }
}

fn plain(id: &str) -> Recipe {
    Recipe::plain(builtin(id).unwrap())
}

fn request(skin: &str, core: &str, cap: &str, touching: Touching) -> PlanRequest {
    let usual = PlanRequest::typical().unwrap();
    PlanRequest { skin: plain(skin), core: plain(core), cap: plain(cap), touching, ..usual }
}

const CODES: [&str; 8] = [
    "cure-inhibited",
    "no-bond",
    "needs-release",
    "contact-untested",
    "insert-sticks",
    "insert-loose",
    "cap-on-foam",
    "foam-without-cap",
];

/// What is told of contacts: code, severity and message.
fn told(volumes: &LayerVolumes, request: &PlanRequest) -> Vec<Finding> {
    let findings = plan(volumes, request).unwrap().findings;
    findings.into_iter().filter(|f| CODES.contains(&f.code)).collect()
}

fn codes(findings: &[Finding]) -> Vec<&str> {
    findings.iter().map(|f| f.code).collect()
}

const URETHANE: &str = "urethane-a5";
const SILICONE: &str = "silicone-00-30";

#[test]
fn one_family_throughout_has_nothing_to_tell() {
    let all = volumes(true, true, true);
    for id in [URETHANE, SILICONE, "mould-silicone-a25"] {
        assert_eq!(told(&all, &request(id, id, id, Touching::default())), [], "{id}");
    }
}

#[test]
fn layers_that_do_not_hold_are_a_conflict_told_once() {
    let all = volumes(true, true, true);
    let layers = told(&all, &request(URETHANE, SILICONE, URETHANE, Touching::default()));
    assert_eq!(codes(&layers), ["cure-inhibited"]);
    assert!(layers.iter().all(|f| f.severity == Severity::Conflict && f.hint.is_some()));
    assert!(layers[0].message.contains("core on skin"), "{}", layers[0].message);
    assert!(layers[0].message.contains("the data sheet wins"));
    let turned = told(&all, &request(SILICONE, URETHANE, SILICONE, Touching::default()));
    assert_eq!(codes(&turned), ["no-bond"]);
    // Only the cap is of another kind: on core and skin alike, told once.
    let cap = told(&all, &request(URETHANE, URETHANE, SILICONE, Touching::default()));
    assert_eq!(codes(&cap), ["cure-inhibited"]);
    // A layer that isn't there meets nothing.
    let without = volumes(true, true, false);
    let none = told(&without, &request(URETHANE, URETHANE, SILICONE, Touching::default()));
    assert_eq!(none, []);
}

#[test]
fn the_mould_is_checked_against_what_touches_it() {
    let mould = |family| Touching { mould: Some(family), ..Touching::default() };
    let all = volumes(true, true, true);
    let tin = mould(Family::CondensationCureSilicone);
    assert_eq!(told(&all, &request(URETHANE, URETHANE, URETHANE, tin)), []);
    let stopped = told(&all, &request(SILICONE, SILICONE, SILICONE, tin));
    assert_eq!(codes(&stopped), ["cure-inhibited"]);
    assert!(stopped[0].message.contains("skin on mould"), "{}", stopped[0].message);
    let fresh = Touching { mould_fresh: true, ..tin };
    let hindered = told(&all, &request(URETHANE, URETHANE, URETHANE, fresh));
    assert_eq!(codes(&hindered), ["cure-inhibited"]);
    assert!(hindered[0].hint.as_ref().unwrap().contains("air"));
    // Like on like ruins both, so it is more than a note.
    let like = told(&all, &request(URETHANE, URETHANE, URETHANE, mould(Family::Urethane)));
    assert_eq!(codes(&like), ["needs-release"]);
    assert_eq!(like[0].severity, Severity::Warning);
    let plaster = told(&all, &request(URETHANE, URETHANE, URETHANE, mould(Family::Plaster)));
    assert_eq!(codes(&plaster), ["needs-release"]);
    assert_eq!(plaster[0].severity, Severity::Note);
    // Without a skin the core touches the mould, and so does the cap.
    let bare = volumes(false, true, true);
    let core = told(&bare, &request(URETHANE, SILICONE, SILICONE, tin));
    assert_eq!(codes(&core), ["cure-inhibited"]);
    assert!(core[0].message.contains("core on mould"), "{}", core[0].message);
}

#[test]
fn pattern_and_insert_are_checked() {
    let all = volumes(true, true, true);
    let touching = Touching {
        mould: Some(Family::AdditionCureSilicone),
        pattern: Some(Family::SulphurClay),
        ..Touching::default()
    };
    let pattern = told(&all, &request(URETHANE, URETHANE, URETHANE, touching));
    assert_eq!(codes(&pattern), ["cure-inhibited"]);
    assert!(pattern[0].message.contains("mould on pattern"), "{}", pattern[0].message);
    let insert = |family| Touching { insert: Some(family), ..Touching::default() };
    for (core, family, code) in [
        (URETHANE, Family::RigidPlastic, "insert-sticks"),
        (SILICONE, Family::RigidPlastic, "insert-loose"),
        (SILICONE, Family::PrintedResin, "cure-inhibited"),
        (URETHANE, Family::Latex, "contact-untested"),
    ] {
        let found = told(&all, &request(core, core, core, insert(family)));
        assert_eq!(codes(&found), [code], "{family}");
        assert!(found[0].message.contains("core on insert"), "{}", found[0].message);
    }
}

#[test]
fn an_ordinary_cap_is_not_poured_behind_a_foam() {
    let foam = request(URETHANE, "foam-flexible", URETHANE, Touching::default());
    let capped = told(&volumes(true, true, true), &foam);
    assert_eq!(codes(&capped), ["cap-on-foam"]);
    assert_eq!(capped[0].severity, Severity::Conflict);
    let open = told(&volumes(true, true, false), &foam);
    assert_eq!(codes(&open), ["foam-without-cap"]);
    assert_eq!(open[0].severity, Severity::Note);
    let all_foam = request(URETHANE, "foam-flexible", "foam-flexible", Touching::default());
    assert_eq!(told(&volumes(true, true, true), &all_foam), []);
}

#[test]
fn a_mould_that_nobody_named_is_told_once() {
    let note = mould_not_checked(&Touching::default()).unwrap();
    assert_eq!((note.code, note.severity), ("mould-not-checked", Severity::Note));
    assert!(note.hint.unwrap().contains("--mould-of"));
    let named = Touching { mould: Some(Family::Plaster), ..Touching::default() };
    assert_eq!(mould_not_checked(&named), None);
}
