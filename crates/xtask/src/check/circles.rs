//! The files of one crate stand on each other in floors: none names another that names it in turn, by however many steps. What both
//! need goes to a file below both.
//!
//! A façade names nothing by declaring its modules or handing names on (`pub use`), and whoever takes a name from it names the file
//! that defines it. What a façade does say in its own code counts.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use super::Fault;
use super::naming::Names;
use crate::walk::Page;

/// A module of a crate by its path from the crate's root.
type Module = Vec<String>;

/// The files of one crate, by module.
struct Crate<'p> {
    files: BTreeMap<Module, (&'p str, Names)>,
}

/// Every circle.
pub(crate) fn faults(pages: &[Page]) -> Vec<Fault> {
    let rooms = rooms(pages);
    let circles = rooms.values().flat_map(|pages| Crate::of(pages).circles());
    circles.map(|circle| told(&circle)).collect()
}

fn told(circle: &[&str]) -> Fault {
    let place = circle.first().copied().unwrap_or_default();
    let way = circle.join(" → ");
    Fault::new(
        place,
        format!("names itself in a circle: {way}; put what both need below both"),
    )
}

/// The sources of each crate that is looked at, if any of it is there.
fn rooms(pages: &[Page]) -> BTreeMap<&str, Vec<&Page>> {
    let mut rooms: BTreeMap<&str, Vec<&Page>> = BTreeMap::new();
    for page in pages
        .iter()
        .filter(|page| page.ending() == "rs" && page.file_name() != "tests.rs")
    {
        let inside = page
            .name
            .strip_prefix("crates/")
            .and_then(|name| name.split_once("/src/"));
        if let Some((name, _)) = inside {
            rooms.entry(name).or_default().push(page);
        }
    }
    rooms
}

/// `a/b.rs` and `a/b/mod.rs` are `a::b`; `lib.rs` is the root, and so is `main.rs` where it stands alone.
fn module(name: &str) -> Module {
    let inside = name.split_once("/src/").map_or(name, |(_, inside)| inside);
    let mut parts: Module = inside
        .trim_end_matches(".rs")
        .split('/')
        .map(str::to_owned)
        .collect();
    if parts.len() > 1 && parts.last().is_some_and(|last| last == "mod") || parts == ["lib"] {
        parts.pop();
    }
    parts
}

impl<'p> Crate<'p> {
    fn of(pages: &[&'p Page]) -> Self {
        let files = pages
            .iter()
            .map(|page| (module(&page.name), (page.name.as_str(), Names::of(&page.text))));
        let mut files: BTreeMap<Module, _> = files.collect();
        if !files.contains_key(&Module::new())
            && let Some(main) = files.remove(&vec!["main".to_owned()])
        {
            files.insert(Module::new(), main);
        }
        Self { files }
    }

    /// The file that a path of a module leads to, and whether it leads to the whole of it.
    fn resolve(&self, from: &[String], path: &[String]) -> Option<(Module, bool)> {
        let (first, behind) = path.split_first()?;
        let mut at: Module = match first.as_str() {
            "crate" => Module::new(),
            "self" => from.to_vec(),
            "super" => from.split_last()?.1.to_vec(),
            _ => from.to_vec(),
        };
        let mut rest = path;
        if matches!(first.as_str(), "crate" | "self" | "super") {
            rest = behind;
            while let Some((next, behind)) = rest.split_first()
                && next == "super"
            {
                at.pop()?;
                rest = behind;
            }
        } else if !self.is_child(from, first) {
            return None;
        }
        self.walk(at, rest, &mut BTreeSet::new())
    }

    fn is_child(&self, of: &[String], name: &str) -> bool {
        self.files.contains_key(&[of, &[name.to_owned()]].concat())
    }

    fn walk(
        &self,
        mut at: Module,
        mut rest: &[String],
        seen: &mut BTreeSet<(Module, String)>,
    ) -> Option<(Module, bool)> {
        while let Some((next, behind)) = rest.split_first() {
            if self.is_child(&at, next) {
                at.push(next.clone());
                rest = behind;
                continue;
            }
            let (_, names) = self.files.get(&at)?;
            if names.defines.contains(next) || !seen.insert((at.clone(), next.clone())) {
                return Some((at, false));
            }
            let on = |one: &super::naming::Use| {
                let (module, whole) = self.resolve(&at, &one.path)?;
                if whole {
                    self.walk(module, behind, &mut seen.clone())
                } else {
                    Some((module, false))
                }
            };
            if let Some(one) = names.uses.iter().find(|one| one.called == *next) {
                return on(one).or(Some((at, false)));
            }
            for all in names.uses.iter().filter(|one| one.called == "*") {
                let Some((module, _)) = self.resolve(&at, within(&all.path)) else {
                    continue;
                };
                if self.files.get(&module).is_some_and(|(_, names)| {
                    names.defines.contains(next) || names.uses.iter().any(|one| one.called == *next)
                }) {
                    return self.walk(module, rest, seen);
                }
            }
            return Some((at, false));
        }
        self.files.contains_key(&at).then_some((at, true))
    }

    /// The files that a file names.
    fn named(&self, module: &Module, names: &Names) -> BTreeSet<Module> {
        let mut named = BTreeSet::new();
        let mut modules: BTreeMap<&str, Module> = BTreeMap::new();
        for one in &names.uses {
            if one.called == "*" && !one.handed_on {
                named.extend(self.resolve(module, within(&one.path)).map(|(to, _)| to));
                continue;
            }
            match self.resolve(module, &one.path) {
                Some((to, true)) => {
                    modules.insert(&one.called, to);
                }
                Some((to, false)) if !one.handed_on || names.says(&one.called) => {
                    named.insert(to);
                }
                _ => {}
            }
        }
        for path in &names.paths {
            let Some((first, behind)) = path.split_first() else {
                continue;
            };
            let led = match modules.get(first.as_str()) {
                Some(at) => self.walk(at.clone(), behind, &mut BTreeSet::new()),
                None => self.resolve(module, path),
            };
            named.extend(led.filter(|_| path.len() > 1).map(|(to, _)| to));
        }
        named.remove(module);
        named
    }

    /// One shortest circle for each knot of files, as names of files.
    fn circles(&self) -> Vec<Vec<&'p str>> {
        let edges: BTreeMap<&Module, BTreeSet<Module>> = self
            .files
            .iter()
            .map(|(module, (_, names))| (module, self.named(module, names)))
            .collect();
        let mut circles = Vec::new();
        let mut told: BTreeSet<&Module> = BTreeSet::new();
        for start in self.files.keys() {
            let Some(circle) = shortest(&edges, start) else {
                continue;
            };
            if circle.iter().any(|module| told.contains(module)) {
                continue;
            }
            told.extend(&circle);
            let names = circle.iter().filter_map(|module| self.files.get(*module));
            circles.push(names.map(|(name, _)| *name).collect());
        }
        circles
    }
}

/// A path without its last part: the module of a `use` that takes all of it.
fn within(path: &[String]) -> &[String] {
    path.split_last().map_or(path, |(_, module)| module)
}

/// The shortest way from a file back to itself.
fn shortest<'m>(
    edges: &'m BTreeMap<&Module, BTreeSet<Module>>,
    start: &'m Module,
) -> Option<Vec<&'m Module>> {
    let mut came: BTreeMap<&Module, &Module> = BTreeMap::new();
    let mut ahead = VecDeque::from([start]);
    while let Some(at) = ahead.pop_front() {
        for next in edges.get(at)? {
            if next == start {
                let mut way = vec![start, at];
                while let Some(before) = came.get(way.last()?) {
                    way.push(before);
                }
                if at == start {
                    way.pop();
                }
                way.reverse();
                way.push(start);
                way.dedup();
                return Some(way);
            }
            if edges.contains_key(next) && !came.contains_key(next) {
                came.insert(next, at);
                ahead.push_back(next);
            }
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The circles of a crate that is made of these files.
    #[track_caller]
    fn check(files: &[(&str, &str)], expected: &[&str]) {
        let pages: Vec<Page> = files
            .iter()
            .map(|(name, text)| Page::new(&format!("crates/record/src/{name}"), text))
            .collect();
        let pages: Vec<&Page> = pages.iter().collect();
        let circles: Vec<String> = Crate::of(&pages)
            .circles()
            .iter()
            .map(|circle| circle.join(" ").replace("crates/record/src/", ""))
            .collect();
        assert_eq!(circles, expected);
    }

    #[test]
    fn two_files_that_name_each_other_are_a_circle() {
        check(
            &[
                ("lib.rs", "mod a; mod b;"),
                ("a.rs", "use crate::b::B; pub struct A(B);"),
                ("b.rs", "pub struct B; fn f() -> crate::a::A { todo() }"),
            ],
            &["a.rs b.rs a.rs"],
        );
    }

    #[test]
    fn a_circle_may_go_by_many_files_and_by_modules_that_were_taken_whole() {
        check(
            &[
                ("lib.rs", "mod a; mod b; mod c;"),
                ("a.rs", "use crate::b; fn a() { b::b() }"),
                ("b/mod.rs", "mod in_b; pub fn b() { in_b::go() }"),
                ("b/in_b.rs", "pub fn go() { super::super::c::c() }"),
                ("c.rs", "pub fn c() { let a = crate::a::a; }"),
            ],
            &["a.rs b/mod.rs b/in_b.rs c.rs a.rs"],
        );
    }

    #[test]
    fn a_facade_that_hands_on_names_nothing_and_what_is_taken_from_it_is_its_definer() {
        check(
            &[
                ("lib.rs", "pub mod a; pub mod b; pub use a::A; pub use b::*;"),
                ("a.rs", "use crate::B; pub struct A(B);"),
                (
                    "b.rs",
                    "use crate::a::tests; pub struct B;\n#[cfg(test)]\nmod tests { use crate::A; }",
                ),
            ],
            &["a.rs b.rs a.rs"],
        );
        check(
            &[
                ("lib.rs", "pub mod a; pub mod b; pub use a::A; pub use b::*;"),
                ("a.rs", "use crate::B; pub struct A(B);"),
                ("b.rs", "pub struct B;\n#[cfg(test)]\nmod tests { use crate::A; }"),
            ],
            &[],
        );
    }

    #[test]
    fn what_a_facade_says_in_its_own_code_counts() {
        let child = ("a.rs", "pub struct A(super::Own);");
        check(&[("lib.rs", "mod a; pub use a::A; pub struct Own;"), child], &[]);
        check(
            &[
                ("lib.rs", "mod a; pub use a::A; pub struct Own; fn f(a: A) {}"),
                child,
            ],
            &["lib.rs a.rs lib.rs"],
        );
    }

    #[test]
    fn a_circle_is_told_in_every_room_and_where_there_is_none_nothing_is() {
        let of = |name: &str, circle: bool| {
            let named = if circle {
                "pub struct B(crate::a::A);"
            } else {
                "pub struct B;"
            };
            let pages = [("a.rs", "use crate::b::B; pub struct A;"), ("b.rs", named)];
            let pages = pages.map(|(file, text)| Page::new(&format!("crates/{name}/src/{file}"), text));
            faults(&pages).len()
        };
        for name in ["record", "store", "notebook"] {
            assert_eq!((of(name, true), of(name, false)), (1, 0), "{name}");
        }
    }

    #[test]
    fn who_may_see_a_thing_is_no_naming() {
        let seen = "pub(in crate::a) struct B;";
        let files = [("a/mod.rs", "mod b; fn f(b: b::B) {}"), ("a/b.rs", seen)];
        check(&files, &[]);
    }
}
