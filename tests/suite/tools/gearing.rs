//! Sprockets on hand, compared with the same change made in the notebook.

use super::*;

fn pairs(page: &Value) -> &Vec<Value> {
    page["pairs"].as_array().unwrap()
}

#[test]
fn every_near_pair_is_there_by_rising_ratio() {
    let page = Desk::with_day().json(&["gearing", "days/2026-04-04.md"]);
    let found: Vec<(u64, u64)> = pairs(&page)
        .iter()
        .map(|pair| (pair["front"].as_u64().unwrap(), pair["rear"].as_u64().unwrap()))
        .collect();
    // 13/64 and 14/64 differ from 13/50 by a fifth and more; 14/48 by 10.9 %, which is just near.
    assert_eq!(found, [(14, 48), (14, 50), (13, 48), (14, 52), (13, 50), (13, 52)]);
    assert_eq!(page["left_out"], 2);
    assert_eq!(pairs(&page).iter().filter(|pair| pair["is_today"] == true).count(), 1);
}

#[test]
fn ratios_and_speeds_are_those_of_paper() {
    let page = Desk::with_day().json(&["gearing", "days/2026-04-04.md"]);
    for pair in pairs(&page) {
        let ratio = number(&pair["rear"]) / number(&pair["front"]);
        assert!((number(&pair["ratio"]["value"]) - ratio).abs() < 1e-12);
        for (speed, gear) in pair["speeds"].as_array().unwrap().iter().zip([2.0, 1.5]) {
            // 200 turns of the engine a second, a wheel of 330 mm.
            let paper = 200.0 / (2.8 * gear * ratio) * 0.33 * 2.0 * std::f64::consts::PI;
            assert!((number(&speed["value"]) - paper).abs() < 1e-9 * paper, "{pair}");
        }
    }
}

#[test]
fn a_chain_is_chosen_with_which_the_axle_lies_inside_its_adjuster() {
    let page = Desk::with_day().json(&["gearing", "days/2026-04-04.md"]);
    for pair in pairs(&page) {
        // Two links move the axle by a pitch, 15.9 mm: an adjuster of 16 mm always has a chain that fits.
        let axle = number(&pair["axle"]["value"]);
        assert!((-0.006..=0.010).contains(&axle), "{pair}");
        assert_eq!(pair["is_inside"], true);
        let links = pair["links"].as_u64().unwrap();
        assert!(links.abs_diff(116) % 2 == 0);
        assert_eq!(pair["is_todays_chain"], links == 116);
    }
    assert!(pairs(&page).iter().any(|pair| pair["is_todays_chain"] == false));
}

#[test]
fn where_no_chain_helps_the_axle_is_told_to_lie_outside() {
    let desk = Desk::with_day();
    desk.write("machines/heron.md", &MACHINE.replace("-6..10 mm", "-0.1..0.1 mm"));
    let page = desk.json(&["gearing", "days/2026-04-04.md"]);
    let outside = pairs(&page).iter().filter(|pair| pair["is_inside"] == false);
    for pair in outside.clone() {
        assert!(number(&pair["axle"]["value"]).abs() > 1e-4 && pair["is_todays_chain"] == true, "{pair}");
    }
    assert!(outside.count() > 0);
}

#[test]
fn what_it_does_is_what_the_notebook_says_once_it_is_done() {
    let desk = Desk::with_day();
    let page = desk.json(&["gearing", "days/2026-04-04.md"]);
    for pair in pairs(&page) {
        let change = format!(
            "\n```change\ndrive.front = {}\ndrive.rear = {}\ndrive.links = {}\nbecause = \"to see\"\n```\n",
            pair["front"], pair["rear"], pair["links"]
        );
        desk.write("days/2026-04-04.md", &format!("{DAY}{change}"));
        let figures = desk.json(&["figures", "days/2026-04-04.md"]);
        let last = |id: &str| {
            let all = figures["figures"].as_array().unwrap();
            number(&all.iter().rfind(|figure| figure["id"] == id).unwrap()["value"])
        };
        for (key, id) in [
            ("axle", "drive.axle_move"),
            ("wheelbase", "geometry.wheelbase"),
            ("anti_squat", "geometry.anti_squat"),
            ("links_needed", "drive.links_needed"),
        ] {
            let told = number(&pair[key]["value"]);
            assert!((told - last(id)).abs() < 1e-9, "{id} {told} {} {pair}", last(id));
        }
    }
}

#[test]
fn what_is_wanted_is_told_once_and_not_in_every_place_of_the_table() {
    let desk = Desk::with_day();
    let without: Vec<&str> = MACHINE
        .lines()
        .filter(|line| !line.starts_with("rev_limit") && !line.starts_with("wheelbase"))
        .collect();
    desk.write("machines/heron.md", &without.join("\n"));
    let output = desk.run(&["gearing", "days/2026-04-04.md"]);
    let text = out(&output);
    assert_eq!(text.matches("drive rev_limit").count(), 1, "{text}");
    assert!(text.contains("speed in each gear needs") && !text.contains("gear 1"), "{text}");
    assert_eq!(text.matches("wheelbase needs").count(), 1, "{text}");
    assert!(text.contains(" –"), "{text}");
}

/// The handbook's length of a chain, in links, for a distance of the centres in pitches.
///
/// **Source** ISO 10823, and any chain maker's handbook: `2C/P + (N₁ + N₂)/2 + ((N₂ − N₁)/2π)² P/C`.
fn handbook(centres: f64, front: f64, rear: f64) -> f64 {
    let apart = (rear - front) / std::f64::consts::TAU;
    2.0 * centres + (front + rear) / 2.0 + apart * apart / centres
}

#[test]
fn links_and_axle_are_those_of_the_chain_handbook() {
    let pitch = 15.875e-3;
    let centres = |links: f64, front: f64, rear: f64| {
        let (mut low, mut high) = (30.0, 60.0);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if handbook(middle, front, rear) < links { low = middle } else { high = middle }
        }
        low
    };
    // The place of the axle with the standard chain.
    let today = centres(116.0, 13.0, 50.0);
    let page = Desk::with_day().json(&["gearing", "days/2026-04-04.md"]);
    for pair in pairs(&page) {
        let (front, rear) = (number(&pair["front"]), number(&pair["rear"]));
        let needed = number(&pair["links_needed"]["value"]);
        assert!((needed - handbook(today, front, rear)).abs() < 0.02, "{pair}");
        let axle = pitch * (centres(number(&pair["links"]), front, rear) - today);
        assert!((number(&pair["axle"]["value"]) - axle).abs() < 0.1e-3, "{axle} {pair}");
        if pair["is_today"] == true {
            continue;
        }
        // The wheel moves with the axle, less the droop of the swingarm.
        let wheelbase = number(&pair["wheelbase_change"]["value"]);
        assert!((wheelbase - axle).abs() < 0.02 * axle.abs() + 1e-4, "{pair}");
    }
}

#[test]
fn where_nobody_knows_how_far_the_axle_moves_there_is_no_wheelbase_either() {
    let desk = Desk::with_day();
    let without: Vec<&str> = MACHINE.lines().filter(|line| !line.starts_with("chain = ")).collect();
    desk.write("machines/heron.md", &without.join("\n"));
    let page = desk.json(&["gearing", "days/2026-04-04.md"]);
    for pair in pairs(&page) {
        assert!(pair["axle"]["value"].is_null(), "{pair}");
        // Today's axle is where it is; another pair's nobody knows.
        assert_eq!(pair["wheelbase"]["value"].is_null(), pair["is_today"] == false, "{pair}");
        assert!(pair["wheelbase_change"].is_null(), "{pair}");
    }
    assert!(pairs(&page).iter().any(|pair| pair["is_today"] == true));
    // With the chain they are known.
    let known = Desk::with_day().json(&["gearing", "days/2026-04-04.md"]);
    assert!(pairs(&known).iter().all(|pair| !pair["wheelbase"]["value"].is_null()));
}

#[test]
fn one_pair_that_is_left_out_is_one() {
    let desk = Desk::with_day();
    assert!(out(&desk.run(&["gearing", "days/2026-04-04.md"])).contains("2 more on hand are not near"));
    desk.write("machines/heron.md", &MACHINE.replace("sprockets.front = [13, 14]", "sprockets.front = [13]"));
    let output = desk.run(&["gearing", "days/2026-04-04.md"]);
    let text = out(&output);
    assert!(text.contains("1 more on hand is not near today's ratio"), "{text}");
}
