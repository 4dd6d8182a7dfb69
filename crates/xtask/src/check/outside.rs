//! What comes from outside: every package that some target of ours builds, held against `deny.toml`'s licences, bans and
//! sources, from what `cargo metadata` says. It downloads no database and says nothing of advisories: those need
//! `cargo deny` and a network. A table of `deny.toml` that it does not know is a fault, never passed over.

use std::collections::{BTreeMap, BTreeSet};

use cargo_metadata::{Metadata, Package};
use serde::Deserialize;

use super::Fault;

/// `deny.toml`, as far as it is kept here.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(crate) struct Rules {
    graph: Graph,
    licenses: Licences,
    bans: Bans,
    sources: Sources,
    /// For `cargo deny` alone.
    #[serde(rename = "advisories")]
    _advisories: Option<toml::Table>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Graph {
    targets: Vec<String>,
    /// What a feature nobody chose would bring is nobody's.
    all_features: bool,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Licences {
    allow: Vec<String>,
    /// For `cargo deny`, which also reads licence texts.
    #[serde(rename = "confidence-threshold")]
    _confidence: f64,
    private: Private,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Private {
    ignore: bool,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Bans {
    multiple_versions: Level,
    wildcards: Level,
    allow_wildcard_paths: bool,
    deny: Vec<Ban>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Sources {
    unknown_registry: Level,
    unknown_git: Level,
    allow_registry: Vec<String>,
    allow_git: Vec<String>,
}

/// What comes of a rule that is broken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Level {
    Allow,
    Warn,
    Deny,
}

/// A crate that may not be there, or only below some.
#[derive(Debug, Deserialize)]
#[serde(untagged)]
enum Ban {
    Name(String),
    Below(Below),
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Below {
    #[serde(rename = "crate")]
    name: String,
    #[serde(default)]
    wrappers: Vec<String>,
}

/// A package as these rules see it.
#[derive(Debug, Default)]
struct Outside {
    name: String,
    version: String,
    /// Where it comes from; nothing for the house's own.
    source: Option<String>,
    licence: Option<String>,
    private: bool,
    /// Names of the packages that need it.
    below: BTreeSet<String>,
    /// Needs of any version whatever: their name, and whether by a path.
    wild: Vec<(String, bool)>,
}

impl Rules {
    /// Reads the text of `deny.toml`.
    pub(crate) fn read(text: &str) -> Result<Self, Box<Fault>> {
        toml::from_str(text).map_err(|error| {
            let what = format!("is not as this check knows it: {}", error.message());
            Box::new(Fault::new("deny.toml", what))
        })
    }

    /// The targets whose packages count.
    pub(crate) fn targets(&self) -> &[String] {
        &self.graph.targets
    }

    /// Everything that is wrong with what comes from outside.
    pub(crate) fn faults(&self, metadata: &Metadata) -> Vec<Fault> {
        self.judged(&packages(metadata))
    }

    /// What is a cost and no fault, as a line.
    pub(crate) fn costs(&self, metadata: &Metadata) -> Option<String> {
        let names: Vec<&str> = metadata
            .packages
            .iter()
            .map(|package| package.name.as_str())
            .collect();
        let several = several(names.iter().copied()).len();
        (several > 0 && self.bans.multiple_versions == Level::Warn).then(|| {
            format!(
                "{} packages, {several} names in more than one version",
                names.len()
            )
        })
    }

    fn judged(&self, packages: &[Outside]) -> Vec<Fault> {
        let mut faults = Vec::new();
        if self.graph.all_features {
            faults.push(Fault::new(
                "deny.toml",
                "wants all features, and this check sees those chosen",
            ));
        }
        for package in packages {
            let place = format!("{} {}", package.name, package.version);
            let wrong = [
                self.licence(package),
                self.source(package),
                self.ban(package),
                self.wild(package),
            ];
            faults.extend(
                wrong
                    .into_iter()
                    .flatten()
                    .map(|what| Fault::new(place.as_str(), what)),
            );
        }
        if self.bans.multiple_versions == Level::Deny {
            let names = packages.iter().map(|package| package.name.as_str());
            faults.extend(
                several(names)
                    .into_iter()
                    .map(|name| Fault::new(name, "is there in several versions")),
            );
        }
        faults
    }

    fn licence(&self, package: &Outside) -> Option<String> {
        if package.source.is_none() && package.private && self.licenses.private.ignore {
            return None;
        }
        let Some(said) = &package.licence else {
            return Some("says no licence".to_owned());
        };
        // Cargo's old `MIT/Apache-2.0` is read as `OR`, as crates.io does.
        let Ok(expression) = spdx::Expression::parse_mode(said, spdx::ParseMode::LAX) else {
            return Some(format!("has a licence that is no SPDX expression: {said}"));
        };
        let allowed = |wanted: &spdx::LicenseReq| {
            let wanted = wanted.to_string();
            self.licenses.allow.contains(&wanted)
        };
        (!expression.evaluate(allowed)).then(|| format!("its licence is not among those allowed: {said}"))
    }

    fn source(&self, package: &Outside) -> Option<String> {
        let source = package.source.as_deref()?;
        let (kind, place) = source.split_once('+').unwrap_or(("", source));
        let (level, known) = match kind {
            "registry" | "sparse" => (self.sources.unknown_registry, &self.sources.allow_registry),
            "git" => (self.sources.unknown_git, &self.sources.allow_git),
            _ => return Some(format!("comes from a source of no known kind: {source}")),
        };
        let plain = place.split(['?', '#']).next().unwrap_or(place);
        (level == Level::Deny && !known.iter().any(|one| one == plain))
            .then(|| format!("comes from {plain}, which is not among the sources allowed"))
    }

    fn ban(&self, package: &Outside) -> Option<String> {
        let banned = self.bans.deny.iter().find_map(|ban| match ban {
            Ban::Name(name) if *name == package.name => Some(&[][..]),
            Ban::Below(below) if below.name == package.name => Some(below.wrappers.as_slice()),
            _ => None,
        })?;
        if banned.is_empty() {
            return Some(format!("is banned; needed by {}", list(&package.below)));
        }
        let others: BTreeSet<String> = package
            .below
            .iter()
            .filter(|one| !banned.contains(one))
            .cloned()
            .collect();
        (!others.is_empty()).then(|| {
            format!(
                "may only be needed by {}, and is by {}",
                banned.join(", "),
                list(&others)
            )
        })
    }

    /// Only of the house's own: what others wrote is pinned by the lock file.
    fn wild(&self, package: &Outside) -> Option<String> {
        if self.bans.wildcards != Level::Deny || package.source.is_some() {
            return None;
        }
        let wild: BTreeSet<String> = package
            .wild
            .iter()
            .filter(|(_, by_path)| !(*by_path && self.bans.allow_wildcard_paths && package.private))
            .map(|(name, _)| name.clone())
            .collect();
        (!wild.is_empty()).then(|| format!("takes any version of {}", list(&wild)))
    }
}

fn list(names: &BTreeSet<String>) -> String {
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    names.join(", ")
}

/// Names that stand more than once.
fn several<'a>(names: impl Iterator<Item = &'a str>) -> BTreeSet<&'a str> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for name in names {
        *counts.entry(name).or_default() += 1;
    }
    counts
        .into_iter()
        .filter(|(_, count)| *count > 1)
        .map(|(name, _)| name)
        .collect()
}

fn packages(metadata: &Metadata) -> Vec<Outside> {
    let names: BTreeMap<_, _> = metadata
        .packages
        .iter()
        .map(|package| (&package.id, package.name.to_string()))
        .collect();
    let mut below: BTreeMap<_, BTreeSet<String>> = BTreeMap::new();
    for node in metadata.resolve.iter().flat_map(|resolve| &resolve.nodes) {
        for need in &node.deps {
            let by = names.get(&node.id).cloned().unwrap_or_default();
            below.entry(&need.pkg).or_default().insert(by);
        }
    }
    let outside = |package: &Package| Outside {
        name: package.name.to_string(),
        version: package.version.to_string(),
        source: package.source.as_ref().map(|source| source.repr.clone()),
        licence: package.license.clone(),
        private: package.publish.as_ref().is_some_and(Vec::is_empty),
        below: below.get(&package.id).cloned().unwrap_or_default(),
        wild: package
            .dependencies
            .iter()
            .filter(|need| need.req == cargo_metadata::semver::VersionReq::STAR)
            .map(|need| (need.name.clone(), need.path.is_some()))
            .collect(),
    };
    metadata.packages.iter().map(outside).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const DENY: &str = r#"
        [graph]
        all-features = false
        targets = ["x86_64-unknown-linux-gnu"]
        [licenses]
        allow = ["MIT", "Apache-2.0 WITH LLVM-exception", "ISC"]
        confidence-threshold = 0.9
        [licenses.private]
        ignore = true
        [bans]
        multiple-versions = "warn"
        wildcards = "deny"
        allow-wildcard-paths = true
        deny = [{ crate = "automerge", wrappers = ["record"] }, "openssl-sys"]
        [sources]
        unknown-registry = "deny"
        unknown-git = "deny"
        allow-registry = ["https://github.com/rust-lang/crates.io-index"]
        allow-git = []
        [advisories]
        yanked = "deny"
    "#;

    fn some(name: &str, licence: Option<&str>) -> Outside {
        Outside {
            name: name.to_owned(),
            version: "1.0.0".to_owned(),
            source: Some("registry+https://github.com/rust-lang/crates.io-index".to_owned()),
            licence: licence.map(str::to_owned),
            ..Outside::default()
        }
    }

    fn check(package: Outside, expected: Option<&str>) {
        let told: Vec<String> = Rules::read(DENY)
            .unwrap()
            .judged(&[package])
            .into_iter()
            .map(|fault| fault.what)
            .collect();
        let expected: Vec<String> = expected.into_iter().map(str::to_owned).collect();
        assert_eq!(told, expected);
    }

    /// The meaning of `AND`, `OR` and `WITH` is that of the SPDX specification, annex D.
    #[test]
    fn licences_are_read_as_expressions() {
        check(some("a", Some("MIT")), None);
        check(some("a", Some("MIT/GPL-3.0-only")), None);
        check(some("a", Some("GPL-3.0-only OR (MIT AND ISC)")), None);
        check(some("a", Some("Apache-2.0 WITH LLVM-exception")), None);
        let not = |said: &str| format!("its licence is not among those allowed: {said}");
        check(
            some("a", Some("MIT AND GPL-3.0-only")),
            Some(&not("MIT AND GPL-3.0-only")),
        );
        // The exception was allowed, not the licence without it.
        check(some("a", Some("Apache-2.0")), Some(&not("Apache-2.0")));
        check(some("a", None), Some("says no licence"));
        check(
            some("a", Some("as you like")),
            Some("has a licence that is no SPDX expression: as you like"),
        );
    }

    #[test]
    fn sources_are_those_allowed() {
        let from = |source: &str| Outside {
            source: Some(source.to_owned()),
            ..some("a", Some("MIT"))
        };
        check(
            from("git+https://example.org/a?rev=1#2"),
            Some("comes from https://example.org/a, which is not among the sources allowed"),
        );
        check(
            from("sparse+https://example.org/index/"),
            Some("comes from https://example.org/index/, which is not among the sources allowed"),
        );
    }

    #[test]
    fn bans_know_who_may() {
        let below = |name: &str, by: &[&str]| Outside {
            below: by.iter().map(|one| (*one).to_owned()).collect(),
            ..some(name, Some("MIT"))
        };
        check(below("automerge", &["record"]), None);
        check(
            below("automerge", &["record", "store"]),
            Some("may only be needed by record, and is by store"),
        );
        check(below("openssl-sys", &["tls"]), Some("is banned; needed by tls"));
    }

    #[test]
    fn any_version_is_for_paths_of_what_is_not_published() {
        let ours = |private, by_path| Outside {
            source: None,
            private,
            wild: vec![("b".to_owned(), by_path)],
            ..some("a", Some("MIT"))
        };
        check(ours(true, true), None);
        check(ours(true, false), Some("takes any version of b"));
        check(ours(false, true), Some("takes any version of b"));
    }

    #[test]
    fn a_rule_that_is_not_kept_here_is_a_fault() {
        let more = DENY.replace(
            "[licenses.private]",
            "[[licenses.clarify]]\ncrate = \"a\"\n[licenses.private]",
        );
        let fault = Rules::read(&more).unwrap_err();
        assert!(fault.what.contains("unknown field `clarify`"), "{fault:?}");
    }

    /// The house itself, with its own `deny.toml`: the same that the check runs.
    #[test]
    fn the_house_keeps_its_rules() {
        let house = crate::house::House::find().unwrap();
        let text = std::fs::read_to_string(house.at("deny.toml")).unwrap();
        let rules = Rules::read(&text).unwrap();
        let (metadata, _) = house.whole(rules.targets()).unwrap();
        assert!(metadata.packages.len() > 300);
        assert_eq!(rules.faults(&metadata), []);
    }
}
