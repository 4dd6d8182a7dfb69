//! What a process has cost in memory, as the kernel says (VmHWM and VmRSS, proc(5)). Linux only.

/// Most that anything hostile may cost: the 256 MB of the house's own bar, in kB.
pub const MOST_KB: u64 = 256_000_000 / 1024;

/// The most that this process has had in memory so far, in kB.
///
/// # Panics
/// Where the kernel does not say.
#[must_use]
pub fn peak_kb() -> u64 {
    peak_of_kb(std::process::id())
}

/// The same of another process.
///
/// # Panics
/// Where the kernel does not say.
#[must_use]
pub fn peak_of_kb(process: u32) -> u64 {
    status_kb(process, "VmHWM:")
}

/// What this process has in memory now, in kB; from here on [`peak_kb`] tells of what comes later only, so that the next
/// road is held against what there was when it began, and not against what an earlier one left in the heap.
///
/// # Panics
/// Where the kernel does not say, or does not begin anew.
#[must_use]
pub fn from_here_kb() -> u64 {
    // 5 resets the peak, proc(5).
    std::fs::write("/proc/self/clear_refs", "5").unwrap();
    status_kb(std::process::id(), "VmRSS:")
}

fn status_kb(process: u32, field: &str) -> u64 {
    let status = std::fs::read_to_string(format!("/proc/{process}/status")).unwrap();
    let line = status.lines().find_map(|line| line.strip_prefix(field)).unwrap();
    line.trim().trim_end_matches(" kB").parse().unwrap()
}
