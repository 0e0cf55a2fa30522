//! The bench sheet, the section and the picture as files: what stands in them beside the JSON of
//! the same plan, whatever the file's name is, and that nothing is fetched from elsewhere.

#[path = "support/command.rs"]
mod command;
#[path = "support/shapes.rs"]
mod shapes;

use std::fs;
use std::path::Path;

use serde_json::Value;

use command::{done, refused, run, text};
use shapes::Shape;

const MOST_BYTES: usize = 1_500_000;

/// A folder with a box of 60 × 40 × 20 mm in a file of this name.
fn folder(mesh: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join(mesh), Shape::cuboid([60.0, 40.0, 20.0]).stl()).unwrap();
    folder
}

fn page(folder: &Path, line: &[&str]) -> (String, Value) {
    let line = [&["plan"], line, &["--json", "--sheet", "bench.html"]].concat();
    let json = serde_json::from_str(&done(folder, &line)).unwrap();
    (fs::read_to_string(folder.join("bench.html")).unwrap(), json)
}

fn escaped(text: &str) -> String {
    let text = text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
    text.replace('"', "&quot;")
}

/// The text that a person reads: tags taken out.
fn words(page: &str) -> String {
    let mut words = String::new();
    let mut in_tag = false;
    for c in page.chars() {
        match c {
            '<' => in_tag = true,
            '>' => in_tag = false,
            c if !in_tag => words.push(c),
            _ => {}
        }
    }
    words
}

fn grams_of(component: &Value) -> f64 {
    component["grams"].as_f64().unwrap()
}

/// Large grams and running totals are those of the JSON, in its order.
#[test]
fn grams_and_totals_are_those_of_the_plan() {
    let folder = folder("box.stl");
    let (page, json) = page(folder.path(), &["box.stl", "--unit", "mm", "--coats", "2"]);
    let mut mixes: Vec<&Value> = json["layers"][0]["coats"].as_array().unwrap().iter().collect();
    mixes.extend([&json["layers"][1], &json["layers"][2]]);
    let mut rest = page.as_str();
    let mut next = |wanted: String| {
        let at =
            rest.find(&wanted).unwrap_or_else(|| panic!("{wanted} is missing or out of order"));
        rest = &rest[at + wanted.len()..];
    };
    for mix in mixes {
        next("<article".to_owned());
        let mut total = 0.0;
        for component in mix["components"].as_array().unwrap() {
            next(format!("<bdi>{}</bdi>", component["name"].as_str().unwrap()));
            let grams = grams_of(component);
            total += grams;
            if let Some(drops) = component["drops"].as_u64() {
                next(format!("<td class=\"grams\">{drops}<small> drop"));
                next(format!("<td class=\"reads\">({grams:.2} g)</td>"));
            } else {
                next(format!("<td class=\"grams\">{grams:.1}</td>"));
                next(format!("<td class=\"reads\">{total:.1} g</td>"));
            }
        }
    }
    assert_eq!(page.matches("<article").count(), 4);
}

/// Whatever was noticed stands on the page: what blocks at its head.
#[test]
fn no_finding_is_hidden() {
    let folder = folder("box.stl");
    let (page, json) = page(folder.path(), &["box.stl"]);
    let findings = json["warnings"].as_array().unwrap();
    assert!(findings.len() >= 3, "{findings:?}");
    for finding in findings {
        let message = escaped(finding["message"].as_str().unwrap());
        assert!(page.contains(&message), "{message} is missing");
    }
    let head = page.split("<article").next().unwrap();
    assert!(head.contains("Do not pour until") && head.contains("its numbers were taken for"));
    let (page, _) = self::page(folder.path(), &["box.stl", "--unit", "mm", "--known", "x=120mm"]);
    assert!(page.contains("Nothing blocks"), "{}", words(&page));
}

/// Names are text and nothing else, wherever they stand.
#[test]
fn hostile_names_stay_names() {
    for name in [
        "<img src=x onerror=alert(1)>.stl",
        "\"'&amp;<b>.stl",
        "כליה שמאלית.stl",
        "a\u{202e}lts.stl",
        "bad\u{1}name\u{7f}.stl",
        "]]><script>alert(1)<!--.stl",
    ] {
        let folder = folder(name);
        let line = [name, "--insert", "in<i>sert.stl", "--section", "s.svg"];
        let insert = Shape::cuboid([5.0, 5.0, 5.0]).moved([20.0, 20.0, 10.0]);
        fs::write(folder.path().join("in<i>sert.stl"), insert.stl()).unwrap();
        let (page, _) = page(folder.path(), &line);
        for tag in ["<img src=x", "<script", "<!--", "<b>.stl", "in<i>sert"] {
            assert!(!page.contains(tag), "{name}: {tag}");
        }
        let clean: String =
            name.chars().map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect();
        assert!(page.contains(&format!("<h1><bdi>{}</bdi></h1>", escaped(&clean))), "{name}");
        assert!(page.chars().all(|c| c == '\n' || !c.is_control()), "{name}");
        let drawing = fs::read_to_string(folder.path().join("s.svg")).unwrap();
        assert_eq!(title_of(&drawing).split(": ").next().unwrap(), clean, "{name}");
    }
}

/// The text of a drawing's title, read as XML; panics where it isn't.
fn title_of(drawing: &str) -> String {
    use quick_xml::events::Event;
    let mut reader = quick_xml::Reader::from_str(drawing);
    let (mut title, mut depth, mut in_title) = (String::new(), 0, false);
    loop {
        match reader.read_event().unwrap() {
            Event::Start(tag) => {
                depth += 1;
                in_title = tag.name().as_ref() == "title";
            }
            Event::End(_) => {
                depth -= 1;
                in_title = false;
            }
            Event::Text(text) if in_title => title += &text,
            Event::GeneralRef(name) if in_title => {
                title += match name.as_ref() {
                    "lt" => "<",
                    "gt" => ">",
                    "amp" => "&",
                    "quot" => "\"",
                    other => panic!("&{other};"),
                };
            }
            Event::Eof => break,
            _ => {}
        }
    }
    assert_eq!(depth, 0);
    title
}

/// Nothing is fetched and nothing runs: the only addresses are names of formats.
#[test]
fn nothing_comes_from_elsewhere() {
    let folder = folder("box.stl");
    let (page, _) = page(folder.path(), &["box.stl", "--section", "s.svg"]);
    let drawing = fs::read_to_string(folder.path().join("s.svg")).unwrap();
    for text in [&page, &drawing] {
        let own = text.replace("http://www.w3.org/2000/svg", "");
        for word in
            ["http:", "https:", "//", "<script", "<link", "@import", "@font-face", "<iframe"]
        {
            // Packed pictures hold any letters.
            let own: String =
                own.split('"').filter(|part| !part.starts_with("data:image/png")).collect();
            assert!(!own.contains(word), "{word}");
        }
        assert!(
            text.match_indices("src=").all(|(at, _)| text[at..].starts_with("src=\"data:image/"))
        );
        assert!(text.match_indices("url(").all(|(at, _)| text[at..].starts_with("url(#")));
        assert!(!text.contains(" on") || !text.contains("onload"));
    }
    assert!(page.len() < MOST_BYTES, "{} bytes", page.len());
    assert!(page.starts_with("<!DOCTYPE html>"));
}

/// Names of patterns are used once on a page, and every one that is painted with is there.
#[test]
fn patterns_have_names_of_their_own() {
    let folder = folder("box.stl");
    let (page, _) = page(folder.path(), &["box.stl", "--coats", "3"]);
    let values = |before: &str, end: char| -> Vec<String> {
        let parts = page.split(before).skip(1);
        parts.map(|rest| rest.split(end).next().unwrap().to_owned()).collect()
    };
    let mut ids = values(" id=\"", '"');
    let painted = values("url(#", ')');
    assert!(ids.len() > 8 && painted.len() > 8);
    assert!(painted.iter().all(|name| ids.contains(name)), "{painted:?} {ids:?}");
    ids.sort();
    let count = ids.len();
    ids.dedup();
    assert_eq!(ids.len(), count);
}

/// Every picture has a name for who can't see it.
#[test]
fn pictures_have_names() {
    let folder = folder("box.stl");
    let (page, _) = page(folder.path(), &["box.stl"]);
    let images = page.matches("<img ").count();
    assert_eq!((images, page.matches(" alt=\"").count()), (4, 4));
    let drawings = page.matches("<svg ").count();
    let named = page.matches("role=\"img\" aria-label=\"").count();
    assert_eq!(drawings, named + page.matches("aria-hidden=\"true\"").count());
    // Three sections, the dip-stick curve, the times.
    assert_eq!(named, 5);
    assert_eq!(page.matches("<title>").count(), named + 1);
}

/// Inches come first where they are asked for, and nothing else changes but the order.
#[test]
fn lengths_come_in_inches_too() {
    let folder = folder("box.stl");
    let (mm, _) = page(folder.path(), &["box.stl", "--lengths", "mm"]);
    let (inches, _) = page(folder.path(), &["box.stl", "--lengths", "in"]);
    assert!(mm.contains("60 × 40 × 20 mm (2.36 × 1.57 × 0.787 in)"));
    assert!(inches.contains("2.36 × 1.57 × 0.787 in (60 × 40 × 20 mm)"));
    assert!(mm.contains("Fill to 3 mm (1/8 in) under the lip"));
    assert!(inches.contains("Fill to 1/8 in (3 mm) under the lip"));
    let grams = |page: &str| -> Vec<String> {
        page.split("class=\"grams\">")
            .skip(1)
            .map(|r| r.split('<').next().unwrap().into())
            .collect()
    };
    assert_eq!(grams(&mm), grams(&inches));
}

/// Many batches have a box each, and a plan without some layer says why.
#[test]
fn many_batches_and_absent_layers() {
    let folder = folder("box.stl");
    let line = ["box.stl", "--unit", "mm", "--cup", "30ml", "--known", "x=150mm", "--skin", "0"];
    let (page, json) = page(folder.path(), &line);
    let batches = json["layers"][1]["batches"].as_u64().unwrap();
    assert!(batches > 20, "{batches}");
    let shown = batches.min(48);
    assert_eq!(page.matches(&format!(" of {batches}</b>")).count() as u64, shown);
    assert!(page.contains("<b>SKIN</b>") && page.contains("none: no thickness was asked for"));
}

/// Numbers in a path's data, in order.
fn numbers(d: &str) -> Vec<f64> {
    let parts = d.split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'));
    parts.filter(|part| !part.is_empty()).map(|part| part.parse().unwrap()).collect()
}

fn span(values: impl Iterator<Item = f64>) -> f64 {
    let (low, high) =
        values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (v.min(low), v.max(high)));
    high - low
}

/// A box of 60 × 20 mm fits twice its size: 120 mm by 40 mm on paper, in mm of paper.
#[test]
fn the_section_is_true_to_scale() {
    let folder = folder("box.stl");
    done(folder.path(), &["plan", "box.stl", "--section", "s.svg"]);
    let drawing = fs::read_to_string(folder.path().join("s.svg")).unwrap();
    let outline = drawing.split("fill=\"none\" stroke-width=\"1\" d=\"").nth(1).unwrap();
    let corners = numbers(outline.split('"').next().unwrap());
    assert!((span(corners.iter().step_by(2).copied()) - 120.0).abs() < 0.2, "{corners:?}");
    assert!((span(corners.iter().skip(1).step_by(2).copied()) - 40.0).abs() < 0.2);
    let of = |name: &str| -> f64 {
        let value = drawing.split(&format!(" {name}=\"")).nth(1).unwrap();
        value.split('"').next().unwrap().trim_end_matches("mm").parse().unwrap()
    };
    let view: Vec<f64> =
        numbers(drawing.split("viewBox=\"").nth(1).unwrap().split('"').next().unwrap());
    assert_eq!((view[2], view[3]), (of("width"), of("height")));
    // The bar: 10 mm of the piece are 20 mm on paper.
    assert!(drawing.contains("10 mm · scale 2:1 on paper"));
    let bar: f64 = drawing
        .split("<rect ")
        .filter(|rect| rect.contains("height=\"1.4\""))
        .map(|rect| rect.split("width=\"").nth(1).unwrap().split('"').next().unwrap())
        .map(|width| width.parse::<f64>().unwrap())
        .sum();
    assert!((bar - 20.0).abs() < 0.05, "{bar}");
    assert!(title_of(&drawing).starts_with("box.stl: upright section, seen along "));
}

/// Bars of the band lie in proportion to their minutes, and the minutes are the plan's own.
#[test]
fn the_band_is_true_to_scale_in_time() {
    let folder = folder("box.stl");
    let line = ["box.stl", "--unit", "mm", "--coats", "1mm,1mm", "--start", "2026-11-27 09:10"];
    let (page, json) = page(folder.path(), &line);
    let attribute = |rect: &str, name: &str| -> f64 {
        let value = rect.split(&format!(" {name}=\"")).nth(1).unwrap();
        value.split('"').next().unwrap().parse().unwrap()
    };
    let bars: Vec<(f64, f64, String)> = page
        .split("<rect ")
        .filter(|rect| rect.contains("data-from-minutes"))
        .map(|rect| {
            let name = rect.split("data-what=\"").nth(1).unwrap().split('"').next().unwrap();
            (attribute(rect, "data-from-minutes"), attribute(rect, "x"), name.to_owned())
        })
        .collect();
    let tasks = json["timeline"]["tasks"].as_array().unwrap().iter();
    let laid: Vec<&Value> = tasks.filter(|task| task["code"] == "lay").collect();
    assert_eq!(bars.len(), laid.len());
    assert_eq!(bars.len(), 4);
    let [first, .., last] = bars.as_slice() else { panic!("{bars:?}") };
    let mm_per_minute = (last.1 - first.1) / (last.0 - first.0);
    for ((minutes, x, name), task) in bars.iter().zip(laid) {
        assert!((x - first.1 - mm_per_minute * (minutes - first.0)).abs() < 0.02, "{name}");
        assert_eq!(task["pour"].as_str(), Some(name.as_str()));
        assert!((task["from"]["minutes"].as_f64().unwrap() - minutes).abs() < 0.01, "{name}");
    }
    // On a clock the times under it are whole hours.
    assert!(page.contains("> 10:00 <") || page.contains(">10:00<"), "no whole hour");
}

/// The halves of a mould that closes round the piece, and where it parts.
#[test]
fn a_two_part_mould_is_on_the_page() {
    let folder = folder("box.stl");
    let line = ["box.stl", "--unit", "mm", "--parting", "8mm", "--gate", "6mmx30mm"];
    let (page, json) = page(folder.path(), &line);
    let text = words(&page);
    for told in ["Halves: ", "parted 8 mm above the lowest point", "SEAM", "a plug in the gate"] {
        assert!(text.contains(told), "no {told}");
    }
    let lower = json["parting"]["halves"][0]["net_g"].as_f64().unwrap();
    assert!(text.contains(&format!(" of skin, {lower:.1} g")), "{lower}");
    // Both upright sections have the line; the first its name, and the legend for both.
    assert_eq!(page.matches("stroke-dasharray=\"3 .8 .4 .8\"").count(), 3);
    assert_eq!(page.matches(">the mould parts<").count(), 2);
    assert!(page.contains("8 mm (5/16 in) from below"));
    // What has to be done before the seam is brushed stands in its own block.
    let block = page.split("<article").find(|block| block.contains("SEAM")).unwrap();
    let block = words(block.split("</article>").next().unwrap());
    assert!(
        block.contains("When: the halves closed, within the last coat's bond window"),
        "{block}"
    );
}

/// Every component that is weighed has one blank for its lot, system by system.
#[test]
fn every_component_has_a_blank_for_its_lot() {
    let folder = folder("box.stl");
    let line = ["box.stl", "--unit", "mm", "--coats", "0.4mm,0.8mm,0.8mm"];
    let (page, json) = page(folder.path(), &line);
    let layers = json["layers"].as_array().unwrap();
    let coats = layers[0]["coats"].as_array().unwrap();
    let mut wanted: Vec<(String, String)> = Vec::new();
    let mut want = |layer: &Value, components: &Value| {
        for component in components.as_array().unwrap() {
            let name = |value: &Value| value.as_str().unwrap().to_owned();
            let one = (name(&layer["system_title"]), name(&component["name"]));
            if !wanted.contains(&one) {
                wanted.push(one);
            }
        }
    };
    coats.iter().for_each(|coat| want(&layers[0], &coat["components"]));
    layers[1..].iter().for_each(|layer| want(layer, &layer["components"]));
    assert_eq!(wanted.len(), 5, "two components, pigment, thickener, softener: {wanted:?}");
    for (system, component) in wanted {
        let of_system = page.split("class=\"lots\"").skip(1);
        let of_system = of_system.map(|lots| lots.split("</div>").next().unwrap());
        let mut of_system = of_system.filter(|lots| lots.contains(&escaped(&system)));
        let lots = of_system.next().unwrap_or_else(|| panic!("no lots of {system}"));
        let blank = format!("<bdi>{}</bdi></span><i></i></li>", escaped(&component));
        assert_eq!(lots.matches(&blank).count(), 1, "{component} in {lots}");
        assert!(of_system.next().is_none(), "{system} twice");
    }
}

/// Of several cavities the page says which is drawn, and draws the others small.
#[test]
fn further_impressions_are_drawn_small() {
    let sample = concat!(env!("CARGO_MANIFEST_DIR"), "/sample-meshes/two-impressions.stl");
    let folder = folder("box.stl");
    let line = [sample, "--unit", "mm", "--as", "mould", "--impression", "all"];
    let (all, _) = page(folder.path(), &line);
    assert!(all.contains("impression 1 of 2, the largest"));
    assert_eq!(all.matches("aria-label=\"impression 2: upright section").count(), 1);
    let (one, _) = page(folder.path(), &["box.stl", "--unit", "mm"]);
    assert!(!one.contains("impression"));
}

/// The picture opens as what it is.
#[test]
fn the_picture_is_a_png() {
    let folder = folder("box.stl");
    done(folder.path(), &["plan", "box.stl", "--picture", "view.png"]);
    let file = fs::File::open(folder.path().join("view.png")).unwrap();
    let mut reader = png::Decoder::new(std::io::BufReader::new(file)).read_info().unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut pixels).unwrap();
    assert_eq!((info.width, info.color_type), (1200, png::ColorType::Grayscale));
    let piece = pixels.iter().filter(|p| **p != 255).count() as f64 / pixels.len() as f64;
    assert!((0.3..0.95).contains(&piece), "{piece}");
}

/// Files are replaced whole, nothing is left beside them, and the job keeps none of it.
#[test]
fn files_are_written_whole() {
    let folder = folder("box.stl");
    fs::write(folder.path().join("bench.html"), "old").unwrap();
    let line = ["box.stl", "--save", "job.toml", "--section", "s.svg", "--picture", "v.png"];
    let (page, _) = page(folder.path(), &line);
    assert!(page.contains("job.toml") && page.contains("revision 1"));
    let mut names: Vec<String> = fs::read_dir(folder.path())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    assert_eq!(names, ["bench.html", "box.stl", "job.toml", "s.svg", "v.png"]);
    let job = fs::read_to_string(folder.path().join("job.toml")).unwrap();
    assert!(!job.contains("bench") && !job.contains("svg") && !job.contains("png"), "{job}");
    let (again, _) = self::page(folder.path(), &["job.toml"]);
    assert!(again.contains("job.toml") && again.contains("revision 1"));
}

/// What can't be meant is refused before any work, and what fails writes nothing.
#[test]
fn slips_are_refused() {
    let folder = folder("box.stl");
    let here = folder.path();
    for (line, words) in [
        (["--sheet", "-"], "not to standard output"),
        (["--sheet", "box.stl"], ".html"),
        (["--section", "section.png"], ".svg"),
        (["--picture", "view"], ".png"),
        (["--lengths", "in"], "--sheet"),
    ] {
        refused(here, &["plan", "box.stl", line[0], line[1]], 2, &[line[0], words]);
    }
    let furlongs = ["plan", "box.stl", "--sheet", "b.html", "--lengths", "furlong"];
    refused(here, &furlongs, 2, &["--lengths", "mm or in"]);
    refused(here, &["plan", "box.stl", "--sheet", "no/such/b.html"], 1, &["b.html"]);
    refused(here, &["plan", "box.stl", "--below-lip", "90mm", "--sheet", "b.html"], 1, &[]);
    assert!(!here.join("b.html").exists());
    let said = run(here, &["plan", "box.stl", "--sheet", "b.html"]);
    assert!(text(&said.stderr).contains("wrote b.html"));
    assert_eq!(text(&said.stdout), done(here, &["plan", "box.stl"]));
}
