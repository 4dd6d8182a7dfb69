//! A full disk: a small one in memory, in a name space of its own, so that no other disk is filled. What was kept is there
//! and can be read while there is no room; what cannot be kept is refused as that.

use std::process::Command;

use crate::rig::{keeper, kept, missing, open, room};

#[test]
fn on_a_full_disk_everything_can_be_read_and_nothing_is_lost() {
    let root = room();
    let (disk, out) = (root.path().join("disk"), root.path().join("out"));
    std::fs::create_dir_all(&disk).unwrap();
    std::fs::create_dir_all(&out).unwrap();
    let keeper = keeper().get_program().to_str().unwrap().to_owned();
    // Filled to the last byte after a first run, opened all the same, and then with room again.
    let script = format!(
        "set -e
         mount -t tmpfs -o size=2000k tmpfs '{disk}'
         '{keeper}' '{disk}/folder' 1 8 > '{out}/1'
         cat /dev/zero > '{disk}/fill' 2>/dev/null || true
         '{keeper}' '{disk}/folder' 2 6 > '{out}/2'
         rm '{disk}/fill'
         '{keeper}' '{disk}/folder' 3 6 > '{out}/3'
         cp -r '{disk}/folder' '{out}/folder'",
        disk = disk.display(),
        out = out.display(),
    );
    let done = Command::new("unshare")
        .args(["-rm", "sh", "-c", &script])
        .output()
        .unwrap();
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    let lines = |number: u8| -> Vec<String> {
        let text = std::fs::read_to_string(out.join(number.to_string())).unwrap();
        text.lines().map(str::to_owned).collect()
    };
    let (first, full, last) = (lines(1), lines(2), lines(3));
    let refused: Vec<&String> = full.iter().filter(|line| line.starts_with("no ")).collect();
    assert!(!refused.is_empty(), "the disk was not full: {full:#?}");
    assert!(
        refused.iter().all(|line| line.starts_with("no disk_full ")),
        "{full:#?}"
    );
    let pages: Vec<&String> = full.iter().filter(|line| line.starts_with("page ")).collect();
    assert_eq!(pages.len(), refused.len());
    assert!(pages.iter().all(|line| *line == "page ok"), "{full:#?}");
    assert!(
        last.iter().all(|line| !line.starts_with("no ")),
        "with room again: {last:#?}"
    );
    let all: Vec<String> = [first, full, last].iter().flat_map(|lines| kept(lines)).collect();
    let folder = out.join("folder");
    let mut notebook = open(&folder, 9).unwrap();
    assert_eq!(missing(&mut notebook, &folder, &all), Vec::<String>::new());
}
