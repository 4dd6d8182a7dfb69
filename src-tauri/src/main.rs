//! The desktop program: it opens the window, and does nothing else.
#![cfg_attr(not(debug_assertions), windows_subsystem = "windows")]

fn main() {
    witnessmark_desktop::run();
}
