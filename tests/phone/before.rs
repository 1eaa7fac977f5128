//! What is asked before a check: on the page it is answered with the words and the figures of `seepline start` and
//! `seepline recut`, and refused with their reasons.

use std::path::Path;

use super::client::{Client, escaped};
use super::server::{Server, run};
use crate::support::program::in_shop;
use crate::support::samples::place;

/// A page's answer as the command would print it: numbers before the items of a list that has an order, a mark before
/// each caution.
fn answer(page: &str) -> String {
    let whole = page.split(" id=\"answer\"").nth(1).expect(page);
    let inside = whole.split("</section>").next().unwrap();
    let (_, inside) = inside.split_once('>').unwrap();
    // Warnings stand above the numbers that they are about, in print behind them.
    let (mut warnings, mut inside) = (String::new(), inside.to_owned());
    while let Some(from) = inside.find("<p class=\"warning\">") {
        let end = from + inside[from..].find("</p>").unwrap();
        warnings.extend(inside.drain(from..end));
    }
    let inside = inside.replace("<h3>Cautions</h3>", &warnings);
    let (mut text, mut mark) = (String::new(), None);
    for piece in inside.split('<').skip(1) {
        let (tag, said) = piece.split_once('>').unwrap();
        match tag {
            "ol" => mark = Some(Ok(0)),
            "ul" => mark = None,
            "ul class=\"cautions\"" => mark = Some(Err("!")),
            "li" => match &mut mark {
                Some(Ok(number)) => {
                    *number += 1;
                    text.extend([" ", &number.to_string(), ". "]);
                }
                Some(Err(sign)) => text.extend([" ", *sign, " "]),
                None => {}
            },
            // It names what is folded, which the command does not.
            "summary" => continue,
            _ => {}
        }
        text += " ";
        text += said;
    }
    let signs = [
        ("&lt;", "<"),
        ("&gt;", ">"),
        ("&quot;", "\""),
        ("&amp;", "&"),
    ];
    signs
        .iter()
        .fold(one_line(&text), |text, (sign, is)| text.replace(sign, is))
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What the command prints, without the figures that it draws of blocks.
fn printed(shop: &Path, line: &str, status: i32) -> String {
    // Else a machine whose letters are ASCII prints other signs than a page.
    let output = in_shop(shop, line)
        .env("LC_ALL", "C.UTF-8")
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(status), "{line}: {output:?}");
    let said = [output.stdout, output.stderr].concat();
    let text = String::from_utf8(said).unwrap();
    let drawn =
        |line: &&str| line.contains('█') || one_line(line) == "thou per side thou on the diameter";
    let told: Vec<&str> = text.lines().filter(|line| !drawn(line)).collect();
    one_line(&told.join(" "))
}

/// The command's line, its options as a form sends them; what is left empty comes, too.
fn asked(phone: &Client, line: &str) -> String {
    let mut words = line.split(' ');
    let verb = words.next().unwrap();
    let mut fields = vec![
        if verb == "start" {
            "width="
        } else {
            "stroke_left="
        }
        .to_owned(),
    ];
    fields.extend(words.map(|word| match word.strip_prefix("--") {
        None => format!("jaws={word}"),
        Some(option) => {
            let (name, value) = option.split_once('=').unwrap_or((option, "yes"));
            format!("{}={}", name.replace('-', "_"), escaped(value))
        }
    }));
    let path = format!("/{verb}?{}", fields.join("&"));
    phone.get(&path).expect(200).text()
}

const NOTED: &str = "jaws add wren --material 6061 --jaw-height 4in --face-length 3in --face-width 40mm \
    --boring-pressure 50psi --production-pressure 400psi --workpiece-diameter 2in --stock 0.1in --machine north \
    --chuck eight --master-jaws 1-A,2-B,3-C --serration third";

/// With the set wren, cut and found right by photos, besides heron.
fn shop() -> Server {
    let server = Server::start();
    let shop = server.shop.path();
    run(shop, NOTED, 0);
    let cut = "cut add wren --taper 1.8thou --diameter 2in --made 2026-01-02T08:00:00";
    run(shop, cut, 0);
    let photo = |jaw| place(&format!("wren-full-length/jaw{jaw}.jpg"));
    let photos = [1, 2, 3].map(|jaw| photo(jaw).display().to_string());
    let read = format!("read {} --jaws wren --tip up", photos.join(" "));
    run(shop, &read, 0);
    server
}

#[test]
fn the_page_answers_with_the_commands_words_and_figures() {
    let server = shop();
    let phone = server.phone();
    let cases: [(&str, &[&str]); 9] = [
        // Similar triangles: a wedge that is 0.002 in thick half-way along is 0.004 in thick at its end; twice that is the
        // difference of the diameters.
        (
            "start --feeler=2thou --depth=1in --open-end=tip --face-length=2in",
            &[
                "Cut per side: 4.0 thou (0.0040 in, 0.102 mm)",
                "Cut on diameter: 8.0 thou (0.0080 in, 0.203 mm)",
            ],
        ),
        // Open at the base is too much taper: what is cut, less the gap.
        (
            "start --feeler=2thou --open-end=base --face-length=50mm --taper=5thou --too-thick=3thou",
            &["Cut per side: 3.0 thou", "Cut on diameter: 6.0 thou"],
        ),
        (
            "start wren --feeler=0.05mm --open-end=tip",
            &["from the feeler gauge"],
        ),
        (
            "start wren --rated-force=90kN --rated-pressure=350psi --thickness=70mm",
            &["A ROUGH ESTIMATE"],
        ),
        // Found right with 1.8 thousandths at 350 psi above the boring pressure; in proportion to that pressure
        // (common practice), at 175 psi half of it, to the shop's step of half a thousandth.
        (
            "start wren",
            &["what earlier checks have shown", "Cut per side: 2.0 thou"],
        ),
        (
            "start wren --production-pressure=225psi",
            &["Cut per side: 1.0 thou"],
        ),
        ("recut wren", &["CHECK INSTEAD OF BORING"]),
        // Off centre by half of the run-out, and a least cut of 0.002 in: 0.00275 in of each side.
        (
            "recut wren --drifting --run-out=1.5thou --stroke-left=0.1in",
            &["BORE AGAIN", "Clamp at diameter: 1.9945 in (50.660 mm)"],
        ),
        (
            "recut heron --machine=<south> --workpiece-diameter=60mm --next-taper=1.5thou --worn",
            &[
                "Another taper: 3.0 thou per side (6.0 thou on the diameter",
                "WARNING The wear's depth",
            ],
        ),
    ];
    for (line, holds) in cases {
        let page = answer(&asked(&phone, line));
        assert_eq!(page, printed(server.shop.path(), line, 0), "{line}");
        for piece in holds {
            assert!(page.contains(piece), "{line}: {piece}: {page}");
        }
        assert!(
            page.contains("! Stop the spindle and lock it out"),
            "{page}"
        );
    }
}

/// A unit chosen beside an amount is that amount's; one that was typed counts before it.
#[test]
fn the_unit_beside_an_amount_is_its_unit() {
    let server = Server::start();
    let phone = server.phone();
    for feeler in ["2", "2.", "0.002in", "2thou"] {
        let units =
            "--feeler-unit=thou --depth=25.4 --depth-unit=mm --face-length=2in --face-length-unit=";
        let line = format!("start --feeler={feeler} --open-end=tip {units}");
        let page = answer(&asked(&phone, &line));
        assert!(page.contains("Cut per side: 4.0 thou"), "{feeler}: {page}");
    }
}

#[test]
fn what_does_not_fit_comes_back_as_its_reason_with_all_that_was_typed() {
    let server = shop();
    let phone = server.phone();
    // With the label of the field that is meant.
    let cases = [
        ("start wren --feeler=−2thou", "Thickest feeler that goes in"),
        ("start wren --feeler=-2thou", "Thickest feeler that goes in"),
        ("start wren --feeler=0.05", "Thickest feeler that goes in"),
        (
            "start wren --feeler=2thou --open-end=tip --depth=0in",
            "How far it goes in",
        ),
        (
            "start wren --feeler=2thou --open-end=base",
            "Taper cut now, per side; 0 if bored straight",
        ),
        ("start wren --feeler=2thou", "The end where it goes in"),
        ("start wren --depth=1in", "How far it goes in"),
        (
            "start wren --boring-pressure=−5bar",
            "Chuck pressure while boring",
        ),
        (
            "start wren --rated-force=90 --rated-pressure=20bar",
            "Grip force of all jaws, as rated",
        ),
        (
            "start wren --rated-force=90kN --thickness=70mm",
            "Chuck pressure of that rating",
        ),
        (
            "start heron --feeler=2thou --open-end=tip",
            "Length of the face, tip to base",
        ),
        (
            "recut wren --worn --run-out=−1thou",
            "Total run-out of the faces",
        ),
        (
            "recut wren --next-taper=0,5thou --machine=south",
            "Taper to bore next, per side",
        ),
    ];
    for (line, label) in cases {
        let page = asked(&phone, line);
        let told = page.split("role=\"alert\">").nth(1).expect(line);
        let told = told.split("</p>").next().unwrap();
        let marked = page.split(" aria-invalid=\"true\"").next().unwrap();
        let marked = marked
            .rsplit(" name=\"")
            .next()
            .unwrap()
            .split('"')
            .next()
            .unwrap();
        // The command says it behind the option's name, in a sentence of its own, and then where to find help.
        let command = printed(server.shop.path(), line, 2);
        let said = command.rsplit(": ").next().unwrap();
        let said = said.split(" For more").next().unwrap();
        let said = said.replace(
            &format!("--{}", marked.replace('_', "-")),
            &format!("“{label}”"),
        );
        let said = said.replace("--feeler", "“Thickest feeler that goes in”");
        assert!(
            told.contains(&said) || told.contains(&capital(&said)),
            "{told} / {command}"
        );
        assert!(told.contains(&format!("“{label}”")), "{line}: {told}");
        assert!(!told.contains("--"), "{line}: {told}");
        assert!(!page.contains("id=\"answer\""), "{line}: {page}");
        for (name, value) in line.split(" --").skip(1).filter_map(|o| o.split_once('=')) {
            let name = name.replace('-', "_");
            let field = page
                .split(&format!(" name=\"{name}\""))
                .nth(1)
                .expect(&name);
            let typed = [
                format!(" value=\"{value}\""),
                format!("<option value=\"{value}\" selected>"),
            ];
            let kept = typed
                .iter()
                .any(|t| field.split("</select>").next().unwrap().contains(t));
            assert!(kept, "{line}: {name}");
        }
        assert_eq!(
            page.matches(" aria-invalid=\"true\"").count(),
            1,
            "{line}: {page}"
        );
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().unwrap().to_uppercase();
    first.chain(letters).collect()
}

#[test]
fn a_page_that_was_not_asked_says_nothing_yet_and_what_is_no_field_is_refused() {
    let server = shop();
    let phone = server.phone();
    for path in ["/start", "/start?jaws=wren", "/recut", "/recut?jaws=wren"] {
        let page = phone.get(path).expect(200).text();
        let silent = !page.contains("id=\"answer\"") && !page.contains("role=\"alert\"");
        assert!(silent, "{path}: {page}");
    }
    let noted = phone.get("/recut?jaws=wren").text();
    for text in [
        "placeholder=\"north\"",
        "placeholder=\"400 psi (27.6 bar)\"",
        "1.8 thou (0.046 mm) per side, 3.6 thou (0.091 mm) on the diameter",
    ] {
        assert!(noted.contains(text), "{text}: {noted}");
    }
    let first = phone.get("/").text();
    assert!(first.contains("href=\"/start\"") && first.contains("href=\"/recut\""));
    let page = asked(&phone, "recut wren --colour=blue");
    assert!(page.contains("“colour” is no field here"), "{page}");
    let page = asked(&phone, "start");
    assert!(
        page.contains("name a jaw set with finished checks"),
        "{page}"
    );
    phone.get("/start?jaws=nobody").expect(404);
    phone.get("/recut?jaws=%ff").expect(404);
}

/// What earlier checks say of a first taper, a command says under a prove-out that keeps changes back, too.
#[test]
fn a_prove_out_keeps_from_the_page_what_it_keeps_from_the_command() {
    let server = shop();
    let phone = server.phone();
    run(server.shop.path(), "people lead JK on", 0);
    let held = [("by", "JK"), ("checks", "3"), ("change", "held")];
    phone.form("/prove-out/begin", &held).expect(303);
    for line in ["start wren --boring-pressure=100psi", "recut wren --worn"] {
        let page = answer(&asked(&phone, line));
        assert_eq!(page, printed(server.shop.path(), line, 0), "{line}");
    }
}
