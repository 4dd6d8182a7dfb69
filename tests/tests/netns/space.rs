//! Hosts of a test's own: network namespaces joined by virtual cables (`ip netns`, veth), made and taken away. Where they
//! may not be made it says so and fails.

use std::io::Write;
use std::process::{Command, Stdio};

/// Runs `ip` with these words.
fn ip(words: &str) {
    let ran = Command::new("ip").args(words.split_whitespace()).output();
    let ran = ran.expect("`ip` (Debian: iproute2) is not there, and this test needs it");
    assert!(
        ran.status.success(),
        "`ip {words}`: {}\nThis test makes network namespaces; it must be root, or have CAP_SYS_ADMIN and CAP_NET_ADMIN.",
        String::from_utf8_lossy(&ran.stderr)
    );
}

/// A host: a namespace with a loopback of its own.
pub(crate) struct Space(pub(crate) String);

impl Space {
    pub(crate) fn new(name: &str) -> Self {
        let space = Self(format!("wm{}{name}", std::process::id()));
        ip(&format!("netns add {}", space.0));
        space.ip("link set lo up");
        space
    }

    pub(crate) fn ip(&self, words: &str) {
        ip(&format!("-n {} {words}", self.0));
    }

    /// A cable from here to another host; its ends are called after the other host's letter.
    pub(crate) fn cable(&self, end: &str, other: &Self, other_end: &str) {
        self.ip(&format!(
            "link add {end} type veth peer name {other_end} netns {}",
            other.0
        ));
    }

    /// An address, and with it the way to everybody (multicast has none without).
    pub(crate) fn address(&self, end: &str, address: &str) {
        self.ip(&format!("addr add {address}/24 dev {end}"));
        self.ip(&format!("link set {end} up"));
        self.ip(&format!("route replace default dev {end} src {address}"));
    }

    /// Runs a program there, and gives what it says.
    pub(crate) fn runs(&self, words: &str) -> String {
        let ran = Command::new("ip")
            .args(["netns", "exec", &self.0])
            .args(words.split_whitespace())
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&ran.stderr);
        assert!(ran.status.success(), "`{words}`: {said}");
        String::from_utf8_lossy(&ran.stdout).into_owned()
    }

    /// Runs a program there that reads this.
    pub(crate) fn feeds(&self, words: &str, input: &str) {
        let mut child = Command::new("ip")
            .args(["netns", "exec", &self.0])
            .args(words.split_whitespace())
            .stdin(Stdio::piped())
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        child.stdin.take().unwrap().write_all(input.as_bytes()).unwrap();
        let ran = child.wait_with_output().unwrap();
        assert!(
            ran.status.success(),
            "`{words}` (for nft: Debian's nftables): {}",
            String::from_utf8_lossy(&ran.stderr)
        );
    }
}

impl Drop for Space {
    fn drop(&mut self) {
        let _ = Command::new("ip").args(["netns", "del", &self.0]).output();
    }
}
