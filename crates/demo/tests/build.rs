//! The story played: two folders that share a year, and a meeting that shows every kind of point to settle.

#[test]
fn it_builds() {
    let dir = tempfile::tempdir().unwrap();
    let started = std::time::Instant::now();
    let built = demo::build(dir.path()).unwrap_or_else(|why| panic!("{why}"));
    println!("{built:#?} in {:?}", started.elapsed());
}
