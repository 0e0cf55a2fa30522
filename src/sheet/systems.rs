//! Casting systems as they are listed and shown.

use rust_decimal::Decimal;

use crate::materials::{By, Dosage, Entry, Library, Shore, ShoreReading, Sourced, System};

/// What `cavigram systems` tells.
#[derive(Debug, Clone, PartialEq)]
pub struct SystemsList {
    /// Each file, in the order of looking.
    pub lines: Vec<SystemLine>,
    /// The folders that were looked through, in that order, with what each is.
    pub folders: Vec<(&'static str, String)>,
    /// Folders that couldn't be looked through, and why.
    pub unread: Vec<String>,
}

/// One system file in the list.
#[derive(Debug, Clone, PartialEq)]
pub struct SystemLine {
    /// The id to type.
    pub id: String,
    /// Where it lies.
    pub place: &'static str,
    /// The file.
    pub file: String,
    /// Another file of the same id comes first.
    pub hidden: bool,
    /// What it says, or what is wrong with it.
    pub says: Result<SystemGist, String>,
}

/// The gist of a system.
#[derive(Debug, Clone, PartialEq)]
pub struct SystemGist {
    /// In words.
    pub title: String,
    /// The word of its family.
    pub family: &'static str,
    /// Its hardness without softener.
    pub hardness: Option<ShoreReading>,
    /// Its working time, min.
    pub working_minutes: Option<f64>,
}

/// What `cavigram systems show` tells.
#[derive(Debug, Clone, PartialEq)]
pub struct SystemPage {
    /// The id to type.
    pub id: String,
    /// In words.
    pub title: String,
    /// The word of its family.
    pub family: &'static str,
    /// Parts by weight or by volume.
    pub by: By,
    /// Where it lies.
    pub place: &'static str,
    /// The file.
    pub file: String,
    /// What is weighed, in order; empty for the order of the facts.
    pub weighing_order: Vec<String>,
    /// Every number.
    pub facts: Vec<SystemFact>,
    /// What is said of its handling.
    pub cautions: Vec<String>,
    /// What a full data sheet tells and it doesn't.
    pub gaps: Vec<&'static str>,
}

/// One number of a system.
#[derive(Debug, Clone, PartialEq)]
pub struct SystemFact {
    /// What it belongs to: "component A", "times".
    pub of: String,
    /// The key it stands under in a file.
    pub key: &'static str,
    /// What it is called.
    pub label: &'static str,
    /// The number.
    pub value: f64,
    /// The number as it was written, where a binary one would not do.
    pub exact: Option<Decimal>,
    /// Its unit; empty for none.
    pub unit: &'static str,
    /// Where it comes from, where that is said.
    pub source: Option<String>,
    /// When it was taken down.
    pub date: Option<String>,
}

impl SystemsList {
    /// The files of a library; the folders are named by whoever looked through them.
    pub fn new(library: &Library, folders: Vec<(&'static str, String)>) -> Self {
        let lines = library.entries().iter().map(SystemLine::new).collect();
        Self { lines, folders, unread: library.unread().to_vec() }
    }
}

impl SystemLine {
    fn new(entry: &Entry) -> Self {
        let says = match &entry.system {
            Ok(system) => Ok(SystemGist {
                title: system.title.clone(),
                family: system.family.as_str(),
                hardness: system
                    .hardness
                    .as_ref()
                    .map(|(scale, r)| ShoreReading { scale: *scale, reading: r.value }),
                working_minutes: system.times.working_minutes.as_ref().map(|t| t.value),
            }),
            Err(fault) => Err(fault.to_string()),
        };
        Self {
            id: entry.id.clone(),
            place: entry.place.as_str(),
            file: entry.file.clone(),
            hidden: entry.hidden,
            says,
        }
    }
}

impl SystemPage {
    /// All of a system; `place` and `file` tell where it lies.
    pub fn new(system: &System, place: &'static str, file: String) -> Self {
        let mut facts = Facts::default();
        facts.mixed(system);
        facts.additives(system);
        facts.worked(system);
        facts.sold(system);
        let of_hazards = system.hazards.iter().map(|hazard| hazard.caution().to_owned());
        Self {
            id: system.id.clone(),
            title: system.title.clone(),
            family: system.family.as_str(),
            by: system.by,
            place,
            file,
            weighing_order: system.weighing_order.clone(),
            facts: facts.0,
            cautions: of_hazards.chain(system.cautions.iter().cloned()).collect(),
            gaps: system.gaps(),
        }
    }
}

/// Facts in the making.
#[derive(Default)]
struct Facts(Vec<SystemFact>);

/// Key, label and unit.
type Name = (&'static str, &'static str, &'static str);

const DENSITY: Name = ("density_g_cm3", "density", "g/cm³");

impl Facts {
    fn add(&mut self, of: &str, name: Name, number: &Sourced<f64>) {
        let (key, label, unit) = name;
        self.0.push(SystemFact {
            of: of.to_owned(),
            key,
            label,
            value: number.value,
            exact: None,
            unit,
            source: number.source.clone(),
            date: number.date.clone(),
        });
    }

    fn given(&mut self, of: &str, name: Name, number: &Option<Sourced<f64>>) {
        if let Some(number) = number {
            self.add(of, name, number);
        }
    }

    fn reading(&mut self, of: &str, scale: Shore, reading: &Sourced<f64>) {
        let name = match scale {
            Shore::A => ("shore_a", "Shore A", ""),
            Shore::OO => ("shore_00", "Shore 00", ""),
            Shore::D => ("shore_d", "Shore D", ""),
        };
        self.add(of, name, reading);
    }

    fn dosage(&mut self, of: &str, dose: &Dosage) {
        self.add(of, ("usual_percent", "usual dose", "% of the mix"), &dose.usual_percent);
        self.given(of, ("least_percent", "least", "% of the mix"), &dose.least_percent);
        self.given(of, ("most_percent", "most", "% of the mix"), &dose.most_percent);
    }

    fn mixed(&mut self, system: &System) {
        for component in &system.components {
            let of = format!("component {}", component.name);
            self.add(&of, ("parts", "parts", ""), &parts(&component.parts));
            self.given(&of, DENSITY, &component.density_g_cm3);
        }
        let densities = &system.densities;
        self.given("mix", ("mixed_g_cm3", "liquid density", "g/cm³"), &densities.mixed_g_cm3);
        self.given("mix", ("cured_g_cm3", "cured density", "g/cm³"), &densities.cured_g_cm3);
        self.given("mix", ("moulded_g_cm3", "moulded density", "g/cm³"), &densities.moulded_g_cm3);
        self.given("mix", ("viscosity_mpa_s", "viscosity", "mPa·s"), &system.viscosity_mpa_s);
        let shrinkage = ("linear_shrinkage_percent", "linear shrinkage", "%");
        self.given("mix", shrinkage, &system.linear_shrinkage_percent);
        if let Some((scale, reading)) = &system.hardness {
            self.reading("hardness", *scale, reading);
        }
    }

    fn additives(&mut self, system: &System) {
        if let Some(softener) = &system.softener {
            let of = format!("softener {}", softener.name);
            self.add(&of, DENSITY, &softener.density_g_cm3);
            for point in &softener.points {
                let tacky = if point.tacky { ", tacky" } else { "" };
                let of = format!("with {} parts of it{tacky}", point.parts.value);
                self.add(&of, ("parts", "parts of softener", ""), &parts(&point.parts));
                self.reading(&of, point.scale, &point.reading);
                self.given(&of, ("times_factor", "times longer by", "×"), &point.times_factor);
            }
        }
        if let Some(thickener) = &system.thickener {
            let of = format!("thickener {}", thickener.name);
            self.add(&of, DENSITY, &thickener.density_g_cm3);
            self.dosage(&of, &thickener.dose);
            self.given(&of, ("air_percent", "air held", "% by volume"), &thickener.air_percent);
        }
        if let Some(pigment) = &system.pigment {
            let of = format!("pigment {}", pigment.name);
            self.add(&of, DENSITY, &pigment.density_g_cm3);
            self.dosage(&of, &pigment.dose);
            self.given(&of, ("grams_per_drop", "a drop", "g"), &pigment.grams_per_drop);
        }
    }

    fn worked(&mut self, system: &System) {
        let (times, of) = (&system.times, "times");
        for (name, time) in [
            (("working_minutes", "working time", "min"), &times.working_minutes),
            (("gel_minutes", "gel time", "min"), &times.gel_minutes),
            (("demould_minutes", "demould time", "min"), &times.demould_minutes),
            (("full_cure_minutes", "full cure", "min"), &times.full_cure_minutes),
            (("bond_from_minutes", "bond window from", "min"), &times.bond_from_minutes),
            (("bond_until_minutes", "bond window until", "min"), &times.bond_until_minutes),
            (("temperature_c", "at", "°C"), &times.temperature_c),
            (("mass_g", "for a mass of", "g"), &times.mass_g),
        ] {
            self.given(of, name, time);
        }
        self.given("coat", ("plain_mm", "stands plain", "mm"), &system.build.plain_mm);
        let thickened = ("thickened_mm", "stands thickened", "mm");
        self.given("coat", thickened, &system.build.thickened_mm);
    }

    fn sold(&mut self, system: &System) {
        for pack in &system.packs {
            let of = format!("pack {}", pack.name);
            for (name, grams) in &pack.contents_g {
                let content = format!("{of}, {name}");
                self.add(&content, ("contents_g", "holds", "g"), grams);
            }
            if let Some(price) = &pack.price {
                let exact = price.value;
                let rough = Sourced {
                    value: exact.to_string().parse().unwrap_or_default(),
                    source: price.source.clone(),
                    date: price.date.clone(),
                };
                self.add(&of, ("price", "price", "in your currency"), &rough);
                if let Some(fact) = self.0.last_mut() {
                    fact.exact = Some(exact);
                }
            }
            let life = ("opened_life_days", "keeps opened", "days");
            self.given(&of, life, &pack.opened_life_days);
        }
    }
}

fn parts(parts: &Sourced<crate::materials::Parts>) -> Sourced<f64> {
    Sourced { value: parts.value.as_f64(), source: parts.source.clone(), date: parts.date.clone() }
}
