//! Purchase lists: the cheapest set against brute force, the shelf, and the command.
#![cfg(feature = "cli")]

#[path = "support/command.rs"]
mod command;
#[path = "support/shapes.rs"]
mod shapes;

use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use cavigram::costs::{
    BuyRequest, CostError, CostFileErrorKind, Currency, Need, Purchase, PurchaseFor, Shelf,
    ShelfState, SystemBuy, SystemNeeds, buy,
};
use cavigram::materials::{Role, System};
use command::{done, refused, run, text};
use jiff::civil::date;
use proptest::prelude::*;
use rust_decimal::Decimal;
use serde_json::Value;
use shapes::Shape;
use tempfile::TempDir;

const COMPONENTS: [&str; 3] = ["A", "B", "softener"];

/// A pack: its name, grams of A, B and softener, and its price.
type Sort = (&'static str, [u32; 3], Option<&'static str>);

/// Our own invented system, 2:1 by weight, sold in these packs.
fn system(id: &str, packs: &str) -> String {
    format!(
        "id = \"{id}\"\ntitle = \"Rubber of our own workshop, 2:1 by weight\"\nfamily = \"urethane\"\n\
         ratio = \"weight\"\n\
         components = [{{ name = \"A\", parts = 2, density_g_cm3 = 1.0 }}, {{ name = \"B\", parts = 1, \
         density_g_cm3 = 1.0 }}]\n\
         softener = {{ name = \"softener\", density_g_cm3 = 1.0, points = [{{ parts = 0, shore_00 = 40 }}, \
         {{ parts = 2, shore_00 = 20 }}] }}\n{packs}"
    )
}

fn packs(sorts: &[(String, [u32; 3], Option<String>)]) -> String {
    let one = |(name, holds, price): &(String, [u32; 3], Option<String>)| {
        let held = COMPONENTS.iter().zip(holds).filter(|(_, grams)| **grams > 0);
        let held: Vec<String> = held.map(|(name, grams)| format!("{name} = {grams}")).collect();
        let price = price.as_ref().map(|p| format!("price = \"{p}\"\n")).unwrap_or_default();
        format!("[[packs]]\nname = \"{name}\"\n{price}contents_g = {{ {} }}\n", held.join(", "))
    };
    sorts.iter().map(one).collect()
}

fn owned(sorts: &[Sort]) -> Vec<(String, [u32; 3], Option<String>)> {
    let own = |(name, holds, price): &Sort| ((*name).to_owned(), *holds, price.map(str::to_owned));
    sorts.iter().map(own).collect()
}

fn needs(id: &str, packs: &str, grams: [&str; 3]) -> SystemNeeds {
    let system = System::from_toml(&system(id, packs)).unwrap();
    let roles = [Role::Component, Role::Component, Role::Softener];
    let each = COMPONENTS.iter().zip(grams).zip(roles).map(|((name, grams), role)| Need {
        component: (*name).to_owned(),
        role,
        grams: grams.parse().unwrap(),
    });
    SystemNeeds { system, needs: each.filter(|need| !need.grams.is_zero()).collect() }
}

fn request(of: Vec<SystemNeeds>, shelf: Option<&str>) -> BuyRequest {
    let job = PurchaseFor { name: "knee.toml".to_owned(), castings: 1, moulds: 1, moulds_made: 0 };
    let shelf = shelf.map(|text| ("stock.toml".to_owned(), Shelf::from_toml(text).unwrap()));
    BuyRequest {
        currency: Currency::default(),
        day: date(2026, 11, 26),
        of: of.into_iter().map(|needs| (job.clone(), vec![needs])).collect(),
        shelf,
    }
}

fn bought(sorts: &[Sort], grams: [&str; 3]) -> SystemBuy {
    let list = buy(&request(vec![needs("own", &packs(&owned(sorts)), grams)], None)).unwrap();
    list.systems.into_iter().next().unwrap()
}

fn counts(system: &SystemBuy) -> Vec<(&str, u64)> {
    system.packs.iter().map(|pack| (pack.name.as_str(), pack.count)).collect()
}

fn codes(purchase: &Purchase) -> Vec<&str> {
    purchase.findings.iter().map(|finding| finding.code).collect()
}

#[track_caller]
fn decimal(text: &str) -> Decimal {
    text.parse().unwrap()
}

const SMALL: Sort = ("small kit", [600, 300, 0], Some("40.00"));
const LARGE: Sort = ("large kit", [2400, 1200, 0], Some("130.00"));
const OIL: Sort = ("softener, 1 kg", [0, 0, 1000], Some("25.50"));

#[test]
fn the_cheapest_set_of_hand_worked_cases() {
    // 1800 g of A: three small kits are 120.00, a large one is 130.00.
    let three = bought(&[SMALL, LARGE, OIL], ["1800", "900", "1000.1"]);
    assert_eq!(counts(&three), [("small kit", 3), ("softener, 1 kg", 2)]);
    assert_eq!(three.price, Some(decimal("171.00")));
    // 1801 g: four small kits would be 160.00.
    assert_eq!(counts(&bought(&[SMALL, LARGE], ["1801", "0", "0"])), [("large kit", 1)]);
    // 4300 g of A: large + four small is 290.00, two large 260.00, large + 3 small only 4200 g.
    assert_eq!(counts(&bought(&[SMALL, LARGE], ["4300", "0", "0"])), [("large kit", 2)]);
    // B alone decides: 301 g of it take two kits, however little of A.
    assert_eq!(counts(&bought(&[SMALL], ["10", "301", "0"])), [("small kit", 2)]);
    // A kit for both, then A by the tin for the rest: 40.00 + 12.00 instead of 80.00.
    let tin: Sort = ("A, 600 g", [600, 0, 0], Some("12.00"));
    assert_eq!(
        counts(&bought(&[tin, SMALL], ["1200", "300", "0"])),
        [("A, 600 g", 1), ("small kit", 1)]
    );
}

#[test]
fn equal_prices_are_settled_by_what_is_left_then_by_packs_then_by_order() {
    let one: Sort = ("one", [500, 0, 0], Some("10"));
    let two: Sort = ("two", [600, 0, 0], Some("10"));
    assert_eq!(counts(&bought(&[two, one], ["450", "0", "0"])), [("one", 1)]);
    let half: Sort = ("half", [250, 0, 0], Some("5"));
    assert_eq!(counts(&bought(&[half, one], ["500", "0", "0"])), [("one", 1)]);
    let same: Sort = ("same", [500, 0, 0], Some("10"));
    assert_eq!(counts(&bought(&[same, one], ["900", "0", "0"])), [("same", 2)]);
    // Of a pack that holds more of what is needed before one that holds less.
    let kit: Sort = ("kit", [300, 200, 0], Some("20"));
    let a: Sort = ("A alone", [300, 0, 0], Some("12"));
    let b: Sort = ("B alone", [0, 200, 0], Some("8"));
    assert_eq!(counts(&bought(&[a, b, kit], ["300", "200", "0"])), [("kit", 1)]);
}

#[test]
fn what_is_left_without_its_counterpart_is_told() {
    let tin: Sort = ("A, 1 kg", [1000, 0, 0], Some("12.00"));
    let list = bought(&[SMALL, tin], ["1500", "300", "0"]);
    assert_eq!(counts(&list), [("small kit", 1), ("A, 1 kg", 1)]);
    let told: Vec<_> =
        list.components.iter().map(|one| (one.bought_g, one.left_g, one.unpaired_g)).collect();
    // 100 g of A are left and nothing of B; mixed 2:1 all of it stands alone.
    assert_eq!(told[0], (decimal("1600"), decimal("100"), decimal("100")));
    assert_eq!(told[1], (decimal("300"), decimal("0"), decimal("0")));
    // 400 g of A and 250 g of B are left: 200 g of B go with A, 50 g don't.
    let list = bought(&[SMALL], ["200", "50", "0"]);
    let told: Vec<_> = list.components.iter().map(|one| (one.left_g, one.unpaired_g)).collect();
    assert_eq!(told, [(decimal("400"), decimal("0")), (decimal("250"), decimal("50"))]);
}

#[test]
fn packs_without_a_price_and_invented_ones() {
    let bare: Sort = ("bare", [700, 350, 0], None);
    // Those with a price suffice: the other one is left out, and told.
    let list =
        buy(&request(vec![needs("own", &packs(&owned(&[bare, SMALL])), ["650", "0", "0"])], None))
            .unwrap();
    assert_eq!(counts(&list.systems[0]), [("small kit", 2)]);
    assert_eq!(codes(&list), ["pack-left-out"]);
    // Softener is only had without a price: then least left over decides, and no sum is given.
    let oil: Sort = ("softener, 1 kg", [0, 0, 1000], None);
    let list = buy(&request(
        vec![needs("own", &packs(&owned(&[bare, SMALL, oil])), ["650", "0", "10"])],
        None,
    ))
    .unwrap();
    assert_eq!(counts(&list.systems[0]), [("bare", 1), ("softener, 1 kg", 1)]);
    assert_eq!((list.systems[0].price, list.price), (None, None));
    assert_eq!(codes(&list), ["pack-without-price"]);
    // Nothing holds it: the rest is bought all the same.
    let list =
        buy(&request(vec![needs("own", &packs(&owned(&[SMALL])), ["600", "0", "10"])], None))
            .unwrap();
    assert_eq!(list.price, Some(decimal("40.00")));
    assert!(list.systems[0].components[1].no_pack);
    assert_eq!(codes(&list), ["no-pack"]);
    // An invented pack gives way to a real one, however cheap it is.
    let invented = "[[packs]]\nname = \"example\"\nprice = { value = 1, source = \"invented example, \
                    replace\", date = \"2026-11-26\" }\ncontents_g = { A = 9000, B = 9000 }\n";
    let both = format!("{invented}{}", packs(&owned(&[SMALL])));
    let list = buy(&request(vec![needs("own", &both, ["600", "0", "0"])], None)).unwrap();
    assert_eq!(counts(&list.systems[0]), [("small kit", 1)]);
    let list = buy(&request(vec![needs("own", invented, ["600", "0", "0"])], None)).unwrap();
    assert!(list.systems[0].invented);
    assert_eq!(codes(&list), ["packs-invented"]);
}

#[test]
fn jobs_add_up_before_packs_are_chosen() {
    let of = packs(&owned(&[SMALL]));
    let half = || needs("own", &of, ["300", "150", "0"]);
    let both = buy(&request(vec![half(), half()], None)).unwrap();
    assert_eq!(counts(&both.systems[0]), [("small kit", 1)]);
    // Components of the same name in another system are others.
    let apart =
        buy(&request(vec![half(), needs("other", &of, ["300", "150", "0"])], None)).unwrap();
    assert_eq!(apart.systems.len(), 2);
    assert_eq!(apart.price, Some(decimal("80.00")));
}

#[test]
fn the_shelf_counts_until_the_last_day() {
    let entry = |more: &str| {
        format!("[[shelf]]\nsystem = \"own\"\ncomponent = \"A\"\ngrams = 500\n{more}\n")
    };
    let life = "[[packs]]\nname = \"kit\"\nprice = 40\nopened_life_days = 30\n\
                contents_g = { A = 600, B = 300 }\n";
    for (more, state) in [
        ("", ShelfState::Counted),
        ("expires = 2026-11-26", ShelfState::Counted),
        ("expires = \"2026-11-25\"", ShelfState::Expired(date(2026, 11, 25))),
        ("opened = 2026-10-27", ShelfState::Counted),
        ("opened = 2026-10-26", ShelfState::OpenTooLong(date(2026, 11, 25))),
        ("opened = 2026-10-26\nopened_life_days = 31", ShelfState::Counted),
        ("opened = 2026-11-27", ShelfState::OpenedLater(date(2026, 11, 27))),
        ("opened = 2026-11-26\nexpires = 2026-11-01", ShelfState::Expired(date(2026, 11, 1))),
    ] {
        let list =
            buy(&request(vec![needs("own", life, ["600", "0", "0"])], Some(&entry(more)))).unwrap();
        assert_eq!(list.shelf[0].state, state, "{more}");
        let short = if state.counts() { "100" } else { "600" };
        assert_eq!(list.systems[0].components[0].short_g, decimal(short), "{more}");
        assert_eq!(codes(&list).contains(&"stock-not-counted"), !state.counts(), "{more}");
    }
    let of = packs(&owned(&[SMALL]));
    let opened = entry("opened = 2020-01-01");
    let list = buy(&request(vec![needs("own", &of, ["600", "0", "0"])], Some(&opened))).unwrap();
    assert_eq!(list.shelf[0].state, ShelfState::LifeUnknown);
    assert_eq!(codes(&list), ["stock-life-unknown"]);
    // What is on the shelf suffices.
    let plenty = entry("").replace("500", "600.0");
    let list = buy(&request(vec![needs("own", &of, ["600", "0", "0"])], Some(&plenty))).unwrap();
    assert_eq!((counts(&list.systems[0]), list.price), (vec![], Some(Decimal::ZERO)));
}

#[test]
fn a_component_that_there_isnt_is_refused_in_its_place() {
    let stock = "\n[[shelf]]\nsystem = \"own\"\ncomponent = \"softner\"\ngrams = 1\n";
    let of = packs(&owned(&[SMALL]));
    let error = buy(&request(vec![needs("own", &of, ["1", "0", "0"])], Some(stock))).unwrap_err();
    let CostError::Stock { error, .. } = error else { panic!("{error}") };
    assert_eq!(error.line, 2);
    assert_eq!(error.hint().as_deref(), Some("did you mean `softener`?"));
    // Another system's stock is none of this business, but may be a slip.
    let stock = stock.replace("\"own\"", "\"owm\"");
    let list = buy(&request(vec![needs("own", &of, ["1", "0", "0"])], Some(&stock))).unwrap();
    assert_eq!(codes(&list), ["stock-not-needed"]);
    assert!(list.findings[0].hint.as_ref().is_some_and(|hint| hint.contains("own")));
}

#[test]
fn stock_files_that_make_no_sense_are_refused() {
    let entry = "[[shelf]]\nsystem = \"own\"\ncomponent = \"A\"\n";
    for (text, line, words) in [
        (String::new(), 1, "the file is empty"),
        (format!("{entry}grams = nan"), 4, "`grams` is nan"),
        (format!("{entry}grams = -5"), 4, "`grams` is -5"),
        (format!("{entry}grams = inf"), 4, "`grams` is inf"),
        (format!("{entry}grams = 1e3"), 4, "`grams` is 1e3"),
        (format!("{entry}grams = 5.12345"), 4, "at most 4 decimals"),
        (entry.to_owned(), 1, "`grams` is missing under `[[shelf]]`"),
        (format!("{entry}grams = 5\nopend = 2026-01-01"), 5, "no key `opend`"),
        (format!("{entry}grams = 5\nopened = 2026-02-30"), 5, ""),
        (format!("{entry}grams = 5\nopened = \"soon\""), 5, "a day such as"),
        (format!("{entry}grams = 5\nopened_life_days = 0"), 5, "more than 0"),
        ("shelf = 3".to_owned(), 1, "tables"),
        ("shelf = [3]".to_owned(), 1, "a table"),
        ("[shelf]\ngrams = 5".to_owned(), 1, "[[…]]"),
    ] {
        let error = Shelf::from_toml(&text).unwrap_err();
        assert_eq!(error.line, line, "{text}: {error}");
        assert!(error.to_string().contains(words), "{text}: {error}");
    }
    let error = Shelf::from_toml("[[shelf]]\nsytem = \"own\"").unwrap_err();
    assert!(matches!(error.kind, CostFileErrorKind::Unknown { .. }));
    assert_eq!((error.line, error.column), (2, 1));
}

/// All sets of packs, one after the other: the least price, then the least in them, then the fewest
/// packs; then more of the pack that holds more of what is needed, then of the one listed earlier.
fn by_brute_force(sorts: &[(String, [u32; 3], Option<String>)], grams: [u32; 3]) -> Vec<u64> {
    let useful =
        |holds: &[u32; 3]| holds.iter().zip(&grams).filter(|(h, g)| **h > 0 && **g > 0).count();
    let most = |holds: &[u32; 3]| {
        let each = holds.iter().zip(&grams).filter(|(h, _)| **h > 0);
        each.map(|(holds, need)| u64::from(need.div_ceil(*holds))).max().unwrap_or(0)
    };
    let mut order: Vec<usize> = (0..sorts.len()).collect();
    order.sort_by_key(|at| std::cmp::Reverse(useful(&sorts[*at].1)));
    type Cheapest = (Decimal, u64, u64, Vec<i64>, Vec<u64>);
    let mut best: Option<Cheapest> = None;
    let mut counts = vec![0u64; sorts.len()];
    loop {
        let covers = (0..3).all(|c| {
            let held: u64 =
                sorts.iter().zip(&counts).map(|((_, h, _), n)| u64::from(h[c]) * n).sum();
            held >= u64::from(grams[c])
        });
        if covers {
            let price = sorts
                .iter()
                .zip(&counts)
                .map(|((_, _, price), n)| decimal(price.as_ref().unwrap()) * Decimal::from(*n))
                .sum();
            let all: u64 = sorts
                .iter()
                .zip(&counts)
                .map(|((_, h, _), n)| u64::from(h.iter().sum::<u32>()) * n)
                .sum();
            let earlier = order.iter().map(|at| -(counts[*at] as i64)).collect();
            let this = (price, all, counts.iter().sum(), earlier, counts.clone());
            if best.as_ref().is_none_or(|best| this < *best) {
                best = Some(this);
            }
        }
        let mut at = 0;
        loop {
            if at == counts.len() {
                return best.map(|best| best.4).unwrap();
            }
            counts[at] += 1;
            if counts[at] <= most(&sorts[at].1) {
                break;
            }
            counts[at] = 0;
            at += 1;
        }
    }
}

fn sorts() -> impl Strategy<Value = Vec<(String, [u32; 3], Option<String>)>> {
    // Few sizes and prices, so that many sets cost the same; some odd ones besides.
    let size =
        prop_oneof![3 => Just(0u32), 4 => (1u32..=4).prop_map(|n| n * 250), 1 => 100u32..900];
    let sort = ([size.clone(), size.clone(), size], 1u32..12, 0u32..3);
    prop::collection::vec(sort, 1..4).prop_map(|sorts| {
        let mut all: Vec<(String, [u32; 3], Option<String>)> = sorts
            .into_iter()
            .enumerate()
            .filter(|(_, (holds, ..))| holds.iter().any(|grams| *grams > 0))
            .map(|(at, (holds, whole, cents))| {
                (
                    format!("pack {at}"),
                    holds,
                    Some(format!("{whole}.{}", ["00", "50", "05"][cents as usize])),
                )
            })
            .collect();
        // Everything can be had.
        all.push(("all".to_owned(), [500, 250, 250], Some("9.50".to_owned())));
        all
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn the_cheapest_set_is_that_of_brute_force(
        sorts in sorts(),
        grams in [0u32..1600, 0u32..1200, 0u32..900],
    ) {
        prop_assume!(grams.iter().any(|g| *g > 0));
        let text = grams.map(|g| g.to_string());
        let of = needs("own", &packs(&sorts), [&text[0], &text[1], &text[2]]);
        let list = buy(&request(vec![of], None)).unwrap();
        let expected = by_brute_force(&sorts, grams);
        let expected: Vec<(&str, u64)> = sorts
            .iter()
            .zip(expected)
            .filter(|(_, n)| *n > 0)
            .map(|((name, ..), n)| (name.as_str(), n))
            .collect();
        prop_assert_eq!(counts(&list.systems[0]), expected);
        for one in &list.systems[0].components {
            prop_assert_eq!(one.left_g, one.bought_g - one.needed_g);
            prop_assert!(one.left_g >= Decimal::ZERO && one.unpaired_g <= one.left_g);
        }
    }
}

#[test]
fn large_orders_and_odd_sizes_are_settled_quickly() {
    let begin = Instant::now();
    // Ten tons in kits of a few kilograms.
    let a: Sort = ("A, 900 g", [900, 0, 0], Some("31.00"));
    let b: Sort = ("B, 450 g", [0, 450, 0], Some("17.00"));
    let list = bought(&[SMALL, LARGE, a, b, OIL], ["10000000", "5000000", "3000000"]);
    let covered: Vec<bool> =
        list.components.iter().map(|one| one.bought_g >= one.needed_g).collect();
    assert_eq!(covered, [true; 3]);
    // Sizes without a common measure.
    let odd: [Sort; 4] = [
        ("one", [907, 0, 0], Some("30.10")),
        ("two", [1361, 0, 0], Some("44.95")),
        ("three", [3629, 1813, 0], Some("149.00")),
        ("four", [0, 455, 0], Some("16.20")),
    ];
    let list = bought(&odd, ["98765.4", "43210.9", "0"]);
    assert!(list.components.iter().all(|one| one.bought_g >= one.needed_g));
    assert!(begin.elapsed() < Duration::from_secs(20), "{:?}", begin.elapsed());
}

#[test]
fn too_many_ways_are_refused_in_words() {
    let prime = [4999u32, 4993, 4987, 4973, 4969, 4967, 4957, 4951, 4943, 4937, 4933, 4931];
    let sorts: Vec<_> = prime
        .iter()
        .enumerate()
        .map(|(at, grams)| {
            let other = prime[(at + 5) % prime.len()];
            (
                format!("pack {at}"),
                [*grams, other, prime[(at + 7) % prime.len()]],
                Some(format!("{}.{:04}", 50, grams)),
            )
        })
        .collect();
    let of = needs("own", &packs(&sorts), ["9999999", "8888888", "7777777"]);
    let begin = Instant::now();
    let error = buy(&request(vec![of], None)).unwrap_err();
    assert!(matches!(error, CostError::Packs { .. }), "{error}");
    assert!(error.hint().is_some());
    assert!(begin.elapsed() < Duration::from_secs(60), "{:?}", begin.elapsed());
}

/// A bench with a box, a system of its own, and a job that casts a solid core of it.
fn bench() -> TempDir {
    let directory = tempfile::tempdir().unwrap();
    let at = directory.path();
    fs::create_dir(at.join("systems")).unwrap();
    let of = system("own", &packs(&owned(&[SMALL, LARGE, OIL])));
    fs::write(at.join("systems/own.toml"), of).unwrap();
    fs::write(at.join("box.stl"), Shape::cuboid([60.0, 40.0, 30.0]).stl()).unwrap();
    let line = [
        "plan",
        "box.stl",
        "--unit",
        "mm",
        "--skin",
        "0",
        "--cap",
        "0",
        "--core-system",
        "own",
        "--save",
        "box.toml",
    ];
    done(at, &line);
    directory
}

fn json(at: &Path, line: &[&str]) -> Value {
    serde_json::from_str(&done(at, line)).unwrap()
}

#[test]
fn the_command_lists_what_the_jobs_take() {
    let bench = bench();
    let at = bench.path();
    let plan = json(at, &["plan", "box.toml", "--castings", "30", "--json"]);
    let list = json(at, &["buy", "box.toml", "--castings", "30", "--json"]);
    assert_eq!(list["schema"], "cavigram/buy/1");
    assert_eq!(list["for"][0]["castings"], 30);
    let needed: f64 = list["systems"][0]["components"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one["needed_g"].as_f64().unwrap())
        .sum();
    let mix = plan["layers"][1]["mix_g"].as_f64().unwrap();
    assert!((needed - 30.0 * mix).abs() < 1e-6, "{needed} {mix}");
    assert_eq!(list["price"].as_str().map(|p| p.contains('.')), Some(true));
    // One number for each job.
    let both = json(at, &["buy", "box.toml", "box.toml", "--castings", "10,20", "--json"]);
    assert_eq!(both["systems"], list["systems"]);
    // The shelf beside the job, judged by the day.
    let stock =
        "[[shelf]]\nsystem = \"own\"\ncomponent = \"A\"\ngrams = 99.5\nexpires = 2026-12-31\n";
    fs::write(at.join("stock.toml"), stock).unwrap();
    let on = |day: &str| {
        let list = json(at, &["buy", "box.toml", "--day", day, "--json"]);
        list["systems"][0]["components"][0]["on_shelf_g"].as_f64().unwrap()
    };
    assert_eq!((on("2026-12-31"), on("2027-01-01")), (99.5, 0.0));
    let without = json(at, &["buy", "box.toml", "--stock", "none", "--json"]);
    assert_eq!(without["stock_file"], Value::Null);
    let csv = done(at, &["buy", "box.toml", "--castings", "30", "--day", "2026-12-01", "--csv"]);
    assert!(csv.starts_with("what,system,name,count,"), "{csv}");
    assert!(csv.lines().any(|line| line.starts_with("component,own,A,,,,,")), "{csv}");
    for line in done(at, &["buy", "box.toml", "--castings", "30"]).lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

#[test]
fn packs_are_those_of_today_and_the_mix_that_of_the_job() {
    let bench = bench();
    let at = bench.path();
    let dearer = system("own", &packs(&owned(&[("new kit", [500, 250, 900], Some("77.00"))])));
    fs::write(at.join("systems/own.toml"), dearer).unwrap();
    let list = json(at, &["buy", "box.toml", "--json"]);
    assert_eq!(list["systems"][0]["packs"][0]["name"], "new kit");
    let codes: Vec<&str> = list["warnings"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|warning| warning["code"].as_str())
        .collect();
    assert!(codes.contains(&"system-differs"), "{codes:?}");
}

#[test]
fn text_in_csv_is_no_formula() {
    let bench = bench();
    let at = bench.path();
    let trick: Sort = ("=HYPERLINK(0)", [600, 300, 1000], Some("1.00"));
    fs::write(at.join("systems/own.toml"), system("own", &packs(&owned(&[trick])))).unwrap();
    let csv = done(at, &["buy", "box.toml", "--csv"]);
    assert!(csv.contains("pack,own,'=HYPERLINK(0),1,1.00,1.00,"), "{csv}");
}

#[test]
fn what_cant_be_bought_for_is_refused() {
    let bench = bench();
    let at = bench.path();
    fs::write(at.join("empty.toml"), "").unwrap();
    fs::write(at.join("bad.toml"), "[[shelf]]\nsystem = \"own\"\ncomponent = \"A\"\ngrams = nan\n")
        .unwrap();
    refused(at, &["buy", "box.toml", "--castings", "0"], 2, &["--castings", "1 to 10000"]);
    refused(at, &["buy", "box.toml", "--castings", "1000000000"], 2, &["--castings"]);
    refused(at, &["buy", "box.toml", "--castings", "1,2"], 2, &["2 numbers for 1 job"]);
    refused(at, &["buy", "box.toml", "--moulds", "x"], 2, &["--moulds"]);
    refused(at, &["buy", "box.toml", "--day", "2026-02-30"], 2, &["--day", "2026-12-01"]);
    refused(at, &["buy", "box.toml", "--currency", "12"], 2, &["--currency"]);
    refused(
        at,
        &["buy", "box.toml", "--stock", "no.toml"],
        1,
        &["no.toml", "there is no such file"],
    );
    refused(
        at,
        &["buy", "box.toml", "--stock", "empty.toml"],
        1,
        &["empty.toml", "the file is empty"],
    );
    refused(at, &["buy", "box.toml", "--stock", "bad.toml"], 1, &["bad.toml: line 4", "nan"]);
    refused(at, &["buy", "empty.toml"], 1, &["empty.toml", "the file is empty"]);
    refused(at, &["buy", "gone.stl"], 1, &["gone.stl"]);
    let none = run(at, &["buy"]);
    assert_eq!(none.status.code(), Some(2), "{}", text(&none.stderr));
}
