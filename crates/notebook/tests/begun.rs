//! What Day opens with: jobs that are begun, each with where it stopped and what it waits for; and what is the car's own.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

mod folders;

use folders::{ask, id, meet, pair};
use serde_json::json;

const ON: &str = "2031-04-02";

#[test]
fn what_is_begun_says_where_it_stopped_whoever_said_so() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, mut child) = pair(dir.path());
    let hub = id(&ask(&mut parent, "add_assembly", json!({ "name": "rear hub" })));
    ask(
        &mut parent,
        "add_job",
        json!({ "what": "grease the bearing", "assembly": hub }),
    );
    let nut = json!({ "what": "draw the nut", "assembly": hub, "hands": 2, "helper": "Pete, next door" });
    let nut = id(&ask(&mut parent, "add_job", nut));
    let order = id(&ask(
        &mut parent,
        "add_order",
        json!({ "what": "hub puller", "state": "ordered", "on": ON }),
    ));
    assert_eq!(ask(&mut parent, "begun", json!({})), json!([]));
    let put = |fields| json!({ "id": nut, "fields": fields });
    ask(
        &mut parent,
        "change_job",
        put(json!({
            "state": "begun", "left_off": "it will not start", "not_before": "2031-04-03", "not_before_time": "18:30",
            "waits_for": format!("order:{order}"), "waits_why": "soaking",
        })),
    );
    meet(&mut parent, &mut child);
    let begun = ask(&mut child, "begun", json!({}));
    assert_eq!(begun.as_array().unwrap().len(), 1);
    let line = &begun[0];
    assert_eq!(line["what"], "draw the nut");
    assert_eq!(line["assembly"]["title"], "rear hub");
    assert_eq!(line["left_off"], "it will not start");
    assert_eq!(line["left_off_by"]["name"], line["state_by"][0]["name"]);
    assert_eq!(
        (&line["not_before"], &line["not_before_time"]),
        (&json!("2031-04-03"), &json!("18:30"))
    );
    assert_eq!(line["waits_why"], "soaking");
    assert_eq!(
        (&line["waits_on"]["stands"], &line["waits_on"]["over"]),
        (&json!("ordered"), &json!(false))
    );
    assert_eq!(
        (&line["hands"], &line["helper"]),
        (&json!(2), &json!("Pete, next door"))
    );

    // What was tried since is what was said of it last, and where it stopped stands.
    let tried = json!({ "job": nut, "what": "with heat", "came_of_it": "half a turn", "on": ON });
    ask(&mut parent, "add_try", tried);
    meet(&mut parent, &mut child);
    ask(
        &mut child,
        "change_order",
        json!({ "id": order, "fields": { "state": "in" } }),
    );
    let begun = ask(&mut child, "begun", json!({}));
    assert_eq!(begun[0]["last_said"], "with heat: half a turn");
    assert_eq!(begun[0]["left_off"], "it will not start");
    assert_eq!(begun[0]["waits_on"]["over"], json!(true));
}

#[test]
fn what_is_put_off_is_counted_nowhere_as_to_be_done() {
    let dir = tempfile::tempdir().unwrap();
    let (_parent, mut child) = pair(dir.path());
    let hub = id(&ask(&mut child, "add_assembly", json!({ "name": "rear hub" })));
    let add = |what: &str| json!({ "what": what, "assembly": hub });
    let other = id(&ask(&mut child, "add_job", add("grease the bearing")));
    let nut = id(&ask(&mut child, "add_job", add("draw the nut")));
    let put = |fields| json!({ "id": nut, "fields": fields });
    ask(&mut child, "change_job", put(json!({ "state": "begun" })));
    let open =
        |child: &mut notebook::Notebook| ask(child, "car", json!({}))["tree"][0]["open"]["jobs"].clone();
    assert_eq!(open(&mut child), json!(2));
    ask(&mut child, "change_job", put(json!({ "state": "later" })));
    assert_eq!(ask(&mut child, "begun", json!({})), json!([]));
    assert_eq!(open(&mut child), json!(1));
    let page = ask(&mut child, "assembly", json!({ "id": hub }));
    assert_eq!(page["put_off"][0]["title"], "draw the nut");
    let ways: Vec<&str> = page["blockers"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one["title"].as_str().unwrap())
        .collect();
    assert_eq!(ways, ["grease the bearing"]);
    let bigger = json!({ "id": other, "fields": { "state": "dropped", "undone_by": nut } });
    ask(&mut child, "change_job", bigger);
    let page = ask(&mut child, "assembly", json!({ "id": hub }));
    let dropped = page["jobs"]
        .as_array()
        .unwrap()
        .iter()
        .find(|job| job["id"] == json!(other));
    assert_eq!(dropped.unwrap()["undone_by"]["title"], "draw the nut");
}

#[test]
fn what_is_of_no_assembly_is_the_cars_own() {
    let dir = tempfile::tempdir().unwrap();
    let (mut parent, _child) = pair(dir.path());
    let job = id(&ask(
        &mut parent,
        "add_job",
        json!({ "what": "first mile", "on": ON }),
    ));
    let hold = json!({ "what": "weight on the front axle", "how": "measured" });
    let hold = id(&ask(&mut parent, "add_hold_point", hold));
    let limit = json!({ "what": "weight on the front axle", "about": "car:car", "high": "320 kg" });
    let limit = id(&ask(&mut parent, "add_limit", limit));
    let reading = json!({ "what": "weight on the front axle", "about": "car:car", "value": "310 kg", "limit": limit, "on": ON });
    let reading = id(&ask(&mut parent, "add_reading", reading));
    let own = ask(&mut parent, "car_own", json!({}));
    assert_eq!(own["jobs"][0]["id"], json!(job));
    assert_eq!(own["jobs"][0]["assembly"], json!(null));
    assert_eq!(own["readings"][0]["id"], json!(reading));
    // A reading of the car meets what is asked of the car, with no word of why.
    assert_eq!(own["holds"][0]["not_by"], json!([]));
    let met = json!({ "id": hold, "fields": { "state": "met", "met_by": format!("reading:{reading}") } });
    ask(&mut parent, "change_hold_point", met);
    let own = ask(&mut parent, "car_own", json!({}));
    assert_eq!(own["holds"][0]["state"], "met");
}
