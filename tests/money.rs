//! Money: rounding, what a file of rates may say, and that no amount is ever a binary number.

#[path = "support/quotes.rs"]
mod quotes;

use std::fs;
use std::path::Path;

use cavigram::costs::{CostError, Rates, quote};
use quotes::{decimal, request};
use rust_decimal::Decimal;

#[test]
fn rounding_is_half_up() {
    let of = |price: &str, decimals: u32| {
        let rates =
            format!("decimals = {decimals}\n[[bought_in]]\nname = \"pin\"\nprice = {price}\n");
        let told = quote(&request(&rates, &["urethane-a5=0/kg"], &[1])).unwrap();
        told.currency.text(told.columns[0].price.unwrap())
    };
    // Half even would say 0.12, 2 and 0.
    assert_eq!(of("0.125", 2), "0.13");
    assert_eq!(of("2.5", 0), "3");
    assert_eq!(of("0.5", 0), "1");
    assert_eq!(of("0.1249", 2), "0.12");
    assert_eq!(of("1.0005", 3), "1.001");
    // A tenth and two tenths are three tenths.
    let rates = "decimals = 4\n[[bought_in]]\nname = \"a\"\nprice = 0.1\n[[bought_in]]\nname = \"b\"\nprice = 0.2\n";
    let told = quote(&request(rates, &["urethane-a5=0/kg"], &[1])).unwrap();
    assert_eq!(told.columns[0].price, Some(decimal("0.3")));
}

#[test]
fn files_of_rates_that_make_no_sense_are_refused() {
    for (text, line, words) in [
        ("", 1, "the file is empty"),
        ("hourly_rate = nan", 1, "`hourly_rate` is nan"),
        ("hourly_rate = -1", 1, "`hourly_rate` is -1"),
        ("hourly_rate = 1e2", 1, "`hourly_rate` is 1e2"),
        ("hourly_rate = 0.12345", 1, "at most 4 decimals"),
        ("hourly_rate = \"38 EUR\"", 1, "without a currency"),
        ("hourly_rate = true", 1, "`hourly_rate` is true"),
        ("hourly_rat = 38", 1, "no key `hourly_rat` at the head"),
        ("margin_percent = 100", 1, "from 0 to 95"),
        ("margin_percent = 5\nmarkup_percent = 5", 2, "stand together"),
        ("rejects_percent = 96", 1, "from 0 to 95"),
        ("materials = \"kilos\"", 1, "there are grams, packs"),
        ("pieces = [0]", 1, "`pieces` is 0"),
        ("pieces = [1000000000]", 1, "from 1 to 10000"),
        ("pieces = []", 1, "a list"),
        ("pieces = 5", 1, "`pieces` is 5"),
        ("currency = \"5\"", 1, "`5` is no currency"),
        ("decimals = 9", 1, "from 0 to 4"),
        ("[mould]\ncost = 5", 1, "`life_castings` is missing under `[mould]`"),
        ("[mould]\ncost = 5\nlife_castings = 0", 3, "from 1 to"),
        ("[mould]\ncost = 5\nlife_castings = 5\ncharge = \"weer\"", 4, "no word `weer`"),
        ("mould = 3", 1, "a table"),
        ("[[steps]]\nname = \"a\"\nminutes = 5\nper = \"piece\"", 4, "casting, round, order"),
        ("[[steps]]\nminutes = 5", 1, "`name` is missing"),
        ("[[steps]]\nname = \"\"\nminutes = 5", 2, "words"),
        ("[[taxes]]\nname = \"a\"\npercent = 5\non_taxes = 1", 4, "true or false"),
        ("[[prices]]\nsystem = \"a\"", 1, "`per_kg` is missing"),
        ("[[prices]]\nsystem = \"a\"\nper_kg = 1\npack = \"b\"", 4, "stand together"),
        ("[[bought_in]]\nname = \"a\"\nprice = 1\neach = inf", 4, "`each` is inf"),
        ("a = ", 1, ""),
    ] {
        let error = Rates::from_toml(text).unwrap_err();
        assert_eq!(error.line, line, "{text}: {error}");
        assert!(error.to_string().contains(words), "{text}: {error}");
    }
    let error = Rates::from_toml("[[taxes]]\nname = \"a\"\npercents = 5").unwrap_err();
    assert_eq!((error.line, error.column), (3, 1));
    assert_eq!(error.hint().as_deref(), Some("did you mean `percent`?"));
}

#[test]
fn amounts_beyond_all_measure_are_refused() {
    let huge = "hourly_rate = 10000000\noverhead_percent = 1000\nmarkup_percent = 1000\n\
                [[steps]]\nname = \"a\"\nminutes = 100000\n\
                [[taxes]]\nname = \"t\"\npercent = 1000\n";
    let told = quote(&request(huge, &["urethane-a5=10000000/g"], &[10_000])).unwrap();
    let column = &told.columns[0];
    let sum: Decimal = column.lines.iter().map(|line| line.amount.unwrap()).sum();
    assert_eq!(column.price, Some(sum));
    // Taxes on taxes, one after the other, outgrow any decimal.
    let tax = "[[taxes]]\nname = \"t\"\npercent = 1000\non_taxes = true\n";
    let more = format!("{huge}{}", tax.repeat(30));
    let error = quote(&request(&more, &["urethane-a5=10000000/g"], &[10_000])).unwrap_err();
    assert!(matches!(error, CostError::TooLarge { .. }), "{error}");
    assert!(quote(&request("", &[], &[0])).is_err());
    assert!(quote(&request("", &[], &[1_000_000_000])).is_err());
}

/// Amounts go from text to text as decimals: no binary number on the way.
#[test]
fn money_is_never_a_binary_number() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/costs");
    for file in [
        "money.rs",
        "file.rs",
        "rates.rs",
        "price.rs",
        "packs.rs",
        "choose.rs",
        "build_up.rs",
        "quote.rs",
        "result.rs",
    ] {
        let code = fs::read_to_string(folder.join(file)).unwrap();
        for word in ["f64", "f32", "to_f64", "from_f64"] {
            assert!(!code.contains(word), "{file} has {word}");
        }
    }
}
