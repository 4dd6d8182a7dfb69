//! The stories in the browser as jobs, each file of them in a network namespace of its own: two that pair at once would
//! otherwise hear each other's questions of who is near. Where none may be made they run one after another.
//!
//! It never leaves a namespace behind: it ends with the last process in it.

use std::process::{Command, Stdio};

use crate::beside::{Job, Share};
use crate::house::House;
use crate::node;
use crate::trouble::Trouble;

/// The step that these are a part of.
pub(crate) const STEP: &str = "browser";

/// A loopback, and a cable with an address on one end, so that a device has somewhere to be met and multicast a way out.
const APART: &str = "ip link set lo up; ip link add near type veth peer name far; ip addr add 10.83.0.1/24 dev near; \
ip link set near up; ip link set far up; ip route replace default dev near src 10.83.0.1; exec \"$@\"";

/// The demo that every story is played on, made once before any of them begins.
pub(crate) fn demo(house: &House) -> Result<(), Trouble> {
    node::script(house, node::BROWSER, "demo")
}

/// A job for each file of stories; all of them in one where this machine makes no namespaces for us.
pub(crate) fn jobs(house: &House) -> Result<Vec<Job>, Trouble> {
    let folder = house.at(node::BROWSER);
    let trouble = |source| Trouble::file("listing", &folder, source);
    let mut files = Vec::new();
    for entry in std::fs::read_dir(&folder).map_err(trouble)? {
        let name = entry.map_err(trouble)?.file_name().to_string_lossy().into_owned();
        if name.ends_with(".test.mjs") {
            files.push(name);
        }
    }
    files.sort();
    if files.is_empty() {
        return Err(Trouble::words(format!("{} holds no stories", node::BROWSER)));
    }
    if !apart_is_possible(house) {
        println!(
            "no network namespace of one's own here (it takes root, or leave to make user namespaces): the stories run one after another"
        );
        let mut command = node::program(house, "node", &folder);
        command.args(["--test", "--test-concurrency=1"]).args(&files);
        return Ok(vec![Job {
            step: STEP,
            name: "all".to_owned(),
            command,
            share: Share::Half,
        }]);
    }
    let job = |file: String| {
        let mut command = node::program(house, "unshare", &folder);
        command
            .args([
                "--net",
                "--map-root-user",
                "sh",
                "-euc",
                APART,
                "sh",
                "node",
                "--test",
            ])
            .arg(&file);
        Job {
            step: STEP,
            name: file.trim_end_matches(".test.mjs").to_owned(),
            command,
            share: Share::Half,
        }
    };
    Ok(files.into_iter().map(job).collect())
}

/// Whether a namespace can be made and furnished here.
fn apart_is_possible(house: &House) -> bool {
    let mut command = house.command("unshare");
    command.args(["--net", "--map-root-user", "sh", "-euc", APART, "sh", "true"]);
    quietly(&mut command)
}

fn quietly(command: &mut Command) -> bool {
    let ran = command.stdout(Stdio::null()).stderr(Stdio::null()).status();
    ran.is_ok_and(|status| status.success())
}
