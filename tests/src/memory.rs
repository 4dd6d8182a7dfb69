//! What this process has cost in memory, as the kernel says (VmHWM, proc(5)). Linux only.

/// Most that anything hostile may cost: the 256 MB of the house's own bar, in kB.
pub const MOST_KB: u64 = 256_000_000 / 1024;

/// The most that this process has had in memory so far, in kB.
///
/// # Panics
/// Where the kernel does not say.
#[must_use]
pub fn peak_kb() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap();
    let line = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))
        .unwrap();
    line.trim().trim_end_matches(" kB").parse().unwrap()
}
