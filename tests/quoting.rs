//! Quotes: examples worked by hand, sums, what must hold of any rates, and the command.
#![cfg(feature = "cli")]

#[path = "support/command.rs"]
mod command;
#[path = "support/quotes.rs"]
mod quotes;
#[path = "support/shapes.rs"]
mod shapes;

use std::fs;
use std::path::Path;

use cavigram::costs::{CostError, GivenPrice, LineGroup, QuoteRequest, needs, quote};
use cavigram::plan::{PlanRequest, Run, plan};
use command::{done, refused, run, text};
use proptest::prelude::*;
use quotes::{RATES, codes, decimal, lines, materials, request};
use rust_decimal::Decimal;
use serde_json::Value;
use shapes::Shape;
use tempfile::TempDir;

/// Worked by hand: every line from the one before, rounded half up to cents.
#[test]
fn ten_pieces_worked_by_hand() {
    let told = quote(&request(RATES, &[], &[10])).unwrap();
    let [ten] = told.columns.as_slice() else { panic!() };
    for (group, amounts) in [
        // 535 g, 535 g and 1070 g at 24.00 a kg.
        (LineGroup::Material, vec!["12.84", "12.84", "25.68"]),
        // 10 × 2 × 1.20
        (LineGroup::BoughtIn, vec!["24.00"]),
        // 10 × 180 / 40
        (LineGroup::Mould, vec!["45.00"]),
        // 20 × 38 / 60 = 12.666…; 10 × 14 × 38 / 60 = 88.666…
        (LineGroup::Work, vec!["12.67", "88.67"]),
        (LineGroup::Trial, vec![]),
        // (51.36 + 24.00 + 45.00 + 88.67) × 5 / 95 = 11.00157…
        (LineGroup::Rejects, vec!["11.00"]),
        // 232.70 × 0.12 = 27.924
        (LineGroup::Overhead, vec!["27.92"]),
        // 260.62 × 30 / 70 = 111.694…
        (LineGroup::Margin, vec!["111.69"]),
        // 372.31 × 0.20 = 74.462; (372.31 + 74.46) × 0.05 = 22.3385
        (LineGroup::Tax, vec!["74.46", "22.34"]),
    ] {
        assert_eq!(lines(ten, group), amounts, "{group:?}");
    }
    assert_eq!(ten.cost, Some(decimal("260.62")));
    assert_eq!(ten.before_tax, Some(decimal("372.31")));
    assert_eq!(ten.price, Some(decimal("469.11")));
    assert_eq!(ten.each_before_tax, Some(decimal("37.23")));
    assert_eq!(ten.each, Some(decimal("46.91")));
    // 20 + 140 / 0.95 = 167.37; 455 / 0.95 = 478.9
    assert_eq!((ten.attended_minutes, ten.waiting_minutes), (decimal("167.4"), decimal("478.9")));
    // 30 % of the price are 30 / 70 of the cost.
    assert_eq!((told.margin_percent, told.markup_percent), (decimal("30"), decimal("42.86")));
    assert_eq!(told.not_charged, ["a first-off trial"]);
    assert_eq!(codes(&told), ["mould-by-wear"]);
}

#[test]
fn a_mark_up_is_of_the_cost() {
    let rates = RATES.replace("margin_percent = 30", "markup_percent = 30");
    let told = quote(&request(&rates, &[], &[10])).unwrap();
    // 260.62 × 0.30 = 78.186
    assert_eq!(lines(&told.columns[0], LineGroup::Margin), ["78.19"]);
    assert_eq!(told.margin_percent, decimal("23.08"));
}

#[test]
fn prices_come_from_what_was_said_or_from_packs() {
    let of = |prices: &[&str], rates: &str| {
        let asked = QuoteRequest { materials: materials(true), ..request(rates, prices, &[1]) };
        let told = quote(&asked).unwrap();
        (lines(&told.columns[0], LineGroup::Material), told.columns[0].lines[0].formula.clone())
    };
    // The dearest pack per gram: 53.5 × 64 / 1800 = 1.902…; 107 × 28 / 1000 = 2.996.
    let (amounts, formula) = of(&[], "");
    assert_eq!(amounts, ["1.90", "1.90", "3.00"]);
    assert_eq!(formula, "53.5 g × 64.00 / 1800 g (kit of 1.8 kg)");
    // 53.5 × 215 / 7200 = 1.5975…; the softener isn't in it and keeps its own pack.
    let named = "[[prices]]\nsystem = \"urethane-a5\"\npack = \"kit of 7.2 kg\"\n";
    assert_eq!(of(&[], named).0, ["1.60", "1.60", "3.00"]);
    // Of one component before the whole system; what was typed before the file.
    let typed = ["urethane-a5=20/kg", "urethane-a5:softener=0.5/oz"];
    // 107 × 0.5 / 28.349523125 = 1.887…
    assert_eq!(of(&typed, named).0, ["1.07", "1.07", "1.89"]);
    assert_eq!(of(&["urethane-a5=10/lb"], "").0, ["1.18", "1.18", "2.36"]);
    assert_eq!(of(&["urethane-a5=0.02/g"], "").0, ["1.07", "1.07", "2.14"]);
}

#[test]
fn packs_that_are_opened_are_charged_whole() {
    let of = |rates: &str, pieces: u32| {
        let rates = format!("materials = \"packs\"\n{rates}");
        let asked = QuoteRequest { materials: materials(true), ..request(&rates, &[], &[pieces]) };
        quote(&asked).unwrap().columns.remove(0)
    };
    assert_eq!(lines(&of("", 1), LineGroup::Material), ["64.00", "28.00"]);
    // 1337.5 g of A and of B take two kits of 900 g each; 2675 g of softener.
    assert_eq!(lines(&of("", 25), LineGroup::Material), ["128.00", "84.00"]);
    // With a quarter rejected 1783.3 g still fit, and 3566.7 g of softener take one pack more.
    let column = of("rejects_percent = 25", 25);
    assert_eq!(lines(&column, LineGroup::Material), ["128.00", "112.00"]);
    assert_eq!(lines(&column, LineGroup::Rejects), ["0.00"]);
    // A trial of one takes the last grams of the second kit and opens a third; three small ones
    // are cheaper than the large one of 215.00.
    let column = of("rejects_percent = 25\ntrial_castings = 1", 25);
    assert_eq!(lines(&column, LineGroup::Material), ["192.00", "112.00"]);
    assert_eq!(lines(&column, LineGroup::Trial), Vec::<String>::new());
}

#[test]
fn never_both_by_grams_and_by_packs() {
    let asked = request("materials = \"packs\"", &["urethane-a5=24/kg"], &[1]);
    assert!(matches!(quote(&asked), Err(CostError::PriceBesidePacks(_))));
    let rates = "materials = \"packs\"\n[[prices]]\nsystem = \"urethane-a5\"\nper_kg = 24\n";
    assert!(matches!(quote(&request(rates, &[], &[1])), Err(CostError::PriceBesidePacks(_))));
}

#[test]
fn no_price_is_ever_made_up() {
    for rates in ["", "materials = \"packs\""] {
        let told = quote(&request(rates, &[], &[1, 10])).unwrap();
        for column in &told.columns {
            assert!(column.lines.iter().all(|line| line.amount.is_none()), "{rates}");
            let sums = [column.cost, column.before_tax, column.price, column.each];
            assert_eq!(sums, [None; 4], "{rates}");
        }
        assert_eq!(codes(&told), ["price-unknown"], "{rates}");
        assert!(told.findings[0].message.contains("invented examples"), "{rates}");
    }
    // One component without a price leaves the sums open, and the others told.
    let told = quote(&request("", &["urethane-a5:A=24/kg"], &[1])).unwrap();
    assert_eq!(lines(&told.columns[0], LineGroup::Material), ["1.28", "?", "?"]);
    assert_eq!(told.columns[0].price, None);
    assert!(told.findings[0].message.contains("of B, softener"), "{}", told.findings[0].message);
}

#[test]
fn prices_of_what_isnt_there_are_refused() {
    let error = quote(&request("", &["urethane-a55=24/kg"], &[1])).unwrap_err();
    assert_eq!(error.hint().as_deref(), Some("did you mean `urethane-a5`?"));
    let error = quote(&request("", &["urethane-a5:softner=24/kg"], &[1])).unwrap_err();
    assert_eq!(error.hint().as_deref(), Some("did you mean `softener`?"));
    let rates =
        "[[prices]]\nsystem = \"urethane-a5\"\ncomponent = \"A\"\npack = \"kit of 1.8kg\"\n";
    let error = quote(&request(rates, &[], &[1])).unwrap_err();
    assert_eq!(error.hint().as_deref(), Some("did you mean `kit of 1.8 kg`?"));
    // A file may hold prices of all sorts of systems.
    let rates = "[[prices]]\nsystem = \"other\"\nper_kg = 24\n";
    let told = quote(&request(rates, &["urethane-a5=1/kg"], &[1])).unwrap();
    assert_eq!(codes(&told), ["price-unused"]);
    assert!(told.findings[0].hint.is_none());
    // What is nearly the piece's own is likely misspelt.
    let rates = "[[prices]]\nsystem = \"urethane-a55\"\nper_kg = 24\n";
    let told = quote(&request(rates, &["urethane-a5=1/kg"], &[1])).unwrap();
    assert_eq!(told.findings[0].hint.as_deref(), Some("did you mean `urethane-a5`?"));
    let twice = quote(&request("", &["urethane-a5=1/kg", "urethane-a5=2/kg"], &[1]));
    assert_eq!(twice.unwrap_err(), CostError::PriceTwice("urethane-a5".into()));
    for text in [
        "urethane-a5",
        "urethane-a5=24",
        "=24/kg",
        "a=-1/kg",
        "a=nan/kg",
        "a=1e3/kg",
        "a=1/t",
        "a:=1/kg",
    ] {
        assert!(text.parse::<GivenPrice>().is_err(), "{text}");
    }
}

/// The grams of a column are those of a plan for as many castings in as many moulds.
#[test]
fn grams_are_those_of_the_plan() {
    for moulds in [1, 4] {
        let mut asked = request("trial_castings = 2", &[], &[1, 3, 4, 9, 100]);
        asked.materials.run.moulds = moulds;
        for column in quote(&asked).unwrap().columns {
            let planned = |run: Run| {
                let materials = PlanRequest { run, ..asked.materials.clone() };
                let made = plan(&asked.volumes, &materials).unwrap();
                let all = needs(&made, &materials);
                all[0].needs.iter().map(|need| need.grams).collect::<Vec<_>>()
            };
            let run = Run { castings: column.pieces, moulds, first_casting: false };
            let grams: Vec<Decimal> = column.grams.iter().map(|one| one.pieces_g).collect();
            assert_eq!(grams, planned(run), "{} in {moulds}", column.pieces);
            let trial = Run { castings: 2, moulds: 1, first_casting: true };
            let grams: Vec<Decimal> = column.grams.iter().map(|one| one.trial_g).collect();
            assert_eq!(grams, planned(trial));
            assert_eq!((column.moulds, column.rounds), (run.at_once(), run.rounds()));
        }
    }
}

#[test]
fn whole_moulds_cover_all_castings_that_are_made() {
    let of = |pieces: u32, moulds: u32| {
        let rates = "rejects_percent = 20\ntrial_castings = 1\n\
                     [mould]\ncost = 100\nlife_castings = 40\ncharge = \"whole\"\n";
        let mut asked = request(rates, &["urethane-a5=0/kg"], &[pieces]);
        asked.materials.run.moulds = moulds;
        lines(&quote(&asked).unwrap().columns[0], LineGroup::Mould)
    };
    // 31 / 0.8 + 1 = 39.75 castings wear out one mould, 32 / 0.8 + 1 = 41 begin a second.
    assert_eq!((of(31, 1), of(32, 1)), (vec!["100.00".to_owned()], vec!["200.00".to_owned()]));
    assert_eq!((of(31, 3), of(2, 3)), (vec!["300.00".to_owned()], vec!["200.00".to_owned()]));
}

fn rates() -> impl Strategy<Value = String> {
    let money = || (0u32..20_000).prop_map(|cents| format!("{}.{:02}", cents / 100, cents % 100));
    let percent = || (0u32..900).prop_map(|tenths| format!("{}.{}", tenths / 10, tenths % 10));
    (
        money(),
        [money(), money(), money()],
        [percent(), percent(), percent(), percent()],
        0u32..3,
        0u32..=4,
        any::<bool>(),
    )
        .prop_map(
            |(hour, [kg, part, mould], [over, margin, reject, tax], trial, decimals, markup)| {
                let profit = if markup { "markup_percent" } else { "margin_percent" };
                format!(
                    "decimals = {decimals}\nhourly_rate = {hour}\noverhead_percent = {over}\n\
                 {profit} = {margin}\nrejects_percent = {reject}\ntrial_castings = {trial}\n\
                 [[prices]]\nsystem = \"urethane-a5\"\nper_kg = {kg}\n\
                 [[bought_in]]\nname = \"part\"\nprice = {part}\neach = 0.25\n\
                 [mould]\ncost = {mould}\nlife_castings = 7\n\
                 [[steps]]\nname = \"a\"\nminutes = 7.5\n\
                 [[steps]]\nname = \"b\"\nminutes = 3\nper = \"round\"\n\
                 [[steps]]\nname = \"c\"\nminutes = 11\nper = \"order\"\n\
                 [[taxes]]\nname = \"t\"\npercent = {tax}\n"
                )
            },
        )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn a_price_is_the_sum_of_its_lines_and_rises_with_the_pieces(
        rates in rates(),
        moulds in 1u32..4,
    ) {
        let mut asked = request(&rates, &[], &[1, 2, 12, 100]);
        asked.materials.run.moulds = moulds;
        let told = quote(&asked).unwrap();
        let mut before = Decimal::ZERO;
        for column in &told.columns {
            let amounts: Vec<Decimal> = column.lines.iter().map(|line| line.amount.unwrap()).collect();
            let price = column.price.unwrap();
            prop_assert_eq!(amounts.iter().sum::<Decimal>(), price);
            prop_assert!(amounts.iter().all(|a| *a >= Decimal::ZERO && a.scale() <= told.currency.decimals()));
            prop_assert!(column.cost.unwrap() <= column.before_tax.unwrap());
            prop_assert!(column.before_tax.unwrap() <= price);
            prop_assert!(price >= before);
            before = price;
            let unit = Decimal::ONE / Decimal::from(10u64.pow(told.currency.decimals()));
            let off = column.each.unwrap() * Decimal::from(column.pieces) - price;
            prop_assert!(off.abs() <= unit * Decimal::from(column.pieces) / Decimal::TWO);
        }
    }

    #[test]
    fn dearer_rates_never_make_a_cheaper_piece(rates in rates()) {
        let price = |rates: &str| quote(&request(rates, &[], &[3])).unwrap().columns[0].price.unwrap();
        let base = price(&rates);
        for key in ["hourly_rate", "overhead_percent", "rejects_percent", "cost", "per_kg", "price"] {
            let dearer: String = rates
                .lines()
                .map(|line| match line.strip_prefix(&format!("{key} = ")) {
                    Some(value) => format!("{key} = {}\n", decimal(value) + Decimal::TWO),
                    None => format!("{line}\n"),
                })
                .collect();
            prop_assert!(price(&dearer) >= base, "{}", key);
        }
    }
}

fn bench() -> TempDir {
    let directory = tempfile::tempdir().unwrap();
    let at = directory.path();
    fs::write(at.join("box.stl"), Shape::cuboid([60.0, 40.0, 30.0]).stl()).unwrap();
    directory
}

fn json(at: &Path, line: &[&str]) -> Value {
    serde_json::from_str(&done(at, line)).unwrap()
}

#[test]
fn a_mesh_alone_gets_the_quick_answer() {
    let bench = bench();
    let at = bench.path();
    let told = json(at, &["quote", "box.stl", "--unit", "mm", "--json"]);
    assert_eq!(told["schema"], "cavigram/quote/1");
    assert_eq!(told["quantities"].as_array().unwrap().len(), 5);
    assert_eq!(told["quantities"][0]["price"], Value::Null);
    assert_eq!(told["warnings"][0]["code"], "price-unknown");
    assert!(told["quantities"][0]["weigh"][0]["grams"].as_f64().unwrap() > 0.0);
    let line = ["quote", "box.stl", "--unit", "mm", "--price", "urethane-a5=24/kg", "--json"];
    let told = json(at, &line);
    assert_eq!(told["warnings"], Value::Array(vec![]));
    for column in told["quantities"].as_array().unwrap() {
        let sum: Decimal = column["lines"]
            .as_array()
            .unwrap()
            .iter()
            .map(|line| decimal(line["amount"].as_str().unwrap()))
            .sum();
        assert_eq!(decimal(column["price"].as_str().unwrap()), sum);
    }
    // Options of the pour and of the mesh count as in a plan.
    let thicker = json(
        at,
        &[
            "quote",
            "box.stl",
            "--unit",
            "cm",
            "--skin",
            "0",
            "--price",
            "urethane-a5=24/kg",
            "--json",
        ],
    );
    assert_ne!(thicker["quantities"][0]["weigh"], told["quantities"][0]["weigh"]);
}

#[test]
fn a_job_is_quoted_as_it_is_planned() {
    let bench = bench();
    let at = bench.path();
    let line =
        ["plan", "box.stl", "--unit", "mm", "--skin", "3mm", "--moulds", "4", "--save", "box.toml"];
    done(at, &line);
    fs::write(at.join("quote.toml"), RATES).unwrap();
    let told = json(at, &["quote", "box.toml", "--pieces", "6", "--json"]);
    assert_eq!(told["rates_file"], "quote.toml");
    let plan = json(at, &["buy", "box.toml", "--castings", "6", "--json"]);
    let column = &told["quantities"][0];
    assert_eq!((&column["moulds"], &column["rounds"]), (&4.into(), &2.into()));
    for (weighed, needed) in column["weigh"]
        .as_array()
        .unwrap()
        .iter()
        .zip(plan["systems"][0]["components"].as_array().unwrap())
    {
        assert_eq!(weighed["grams"], needed["needed_g"]);
    }
    let alone = json(at, &["quote", "box.toml", "--rates", "none", "--moulds", "1", "--json"]);
    assert_eq!(alone["rates_file"], Value::Null);
    assert_eq!(alone["quantities"][4]["rounds"], 100);
    let csv = done(at, &["quote", "box.toml", "--csv"]);
    assert!(csv.starts_with("pieces,group,line,formula,amount,currency\r\n"));
    assert!(csv.contains(",tax,levy,"), "{csv}");
    for line in done(at, &["quote", "box.toml"]).lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

#[test]
fn what_cant_be_quoted_is_refused() {
    let bench = bench();
    let at = bench.path();
    fs::write(at.join("nan.toml"), "hourly_rate = nan\n").unwrap();
    fs::write(at.join("empty.stl"), "").unwrap();
    refused(at, &["quote", "box.stl", "--pieces", "0"], 2, &["--pieces", "1 to 10000"]);
    refused(at, &["quote", "box.stl", "--pieces", "1000000000"], 2, &["--pieces"]);
    refused(at, &["quote", "box.stl", "--pieces", ""], 2, &["--pieces"]);
    refused(at, &["quote", "box.stl", "--price", "urethane-a5=nan/kg"], 2, &["--price", "nan"]);
    refused(at, &["quote", "box.stl", "--price", "urethane-a5=-3/kg"], 2, &["--price", "-3"]);
    refused(at, &["quote", "box.stl", "--price", "urethane=3/kg"], 2, &["urethane-a5"]);
    refused(at, &["quote", "box.stl", "--rates", "nan.toml"], 1, &["nan.toml: line 1", "nan"]);
    refused(at, &["quote", "box.stl", "--rates", "gone.toml"], 1, &["gone.toml", "no such file"]);
    refused(at, &["quote", "box.stl", "--skin", "-1"], 2, &["--skin"]);
    refused(at, &["quote", "empty.stl"], 1, &["empty.stl"]);
    let none = run(at, &["quote"]);
    assert_eq!(none.status.code(), Some(2), "{}", text(&none.stderr));
}

#[test]
fn help_fits_the_page() {
    let bench = bench();
    for command in ["quote", "buy"] {
        let help = done(bench.path(), &[command, "--help"]);
        assert!(help.lines().all(|line| line.chars().count() <= 80), "{help}");
        for option in ["--moulds", "--currency", "--csv", "--json"] {
            assert!(help.contains(option), "no {option} in the help of {command}");
        }
    }
}

const PAGE: &str = include_str!("../docs/costs.md");

/// What the page on costs shows is what its files and commands give.
#[test]
fn the_page_on_costs_shows_real_output() {
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-meshes");
    let bench = tempfile::tempdir().unwrap();
    let at = bench.path();
    let files: Vec<&str> =
        PAGE.split("```toml\n").skip(1).map(|block| block.split("```").next().unwrap()).collect();
    let [rates, packs, stock] = files.as_slice() else { panic!("{} files", files.len()) };
    let usual = cavigram::materials::builtin_toml("urethane-a5").unwrap();
    let usual = usual.replacen("id = \"urethane-a5\"", "id = \"our-urethane\"", 1);
    let own = format!("{}{packs}", usual.split("[[packs]]").next().unwrap());
    fs::create_dir(at.join("systems")).unwrap();
    fs::write(at.join("systems/our-urethane.toml"), own).unwrap();
    for mesh in ["kidney.stl", "palm-pad.obj"] {
        fs::copy(samples.join(mesh), at.join(mesh)).unwrap();
        let job = format!("{}.toml", mesh.split('.').next().unwrap());
        let system = "our-urethane";
        let line = [
            "plan",
            mesh,
            "--unit",
            "mm",
            "--skin-system",
            system,
            "--core-system",
            system,
            "--save",
            &job,
        ];
        done(at, &line);
    }
    let mut shown = 0;
    for block in PAGE.split("```sh\ncavigram ").skip(1) {
        let Some((line, rest)) = block.split_once("\n```\n\n```text\n") else { continue };
        let text = rest.split("\n```").next().unwrap();
        let line: Vec<&str> = line.split(' ').collect();
        assert_eq!(done(at, &line).trim_end(), text, "{line:?}");
        // The quick answer stands before the files.
        fs::write(at.join("quote.toml"), rates).unwrap();
        fs::write(at.join("stock.toml"), stock).unwrap();
        shown += 1;
    }
    assert_eq!(shown, 3);
}
