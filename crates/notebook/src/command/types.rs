//! The TypeScript of single types, each with all that it is made of. Which types those are, whoever visits them says.

use std::collections::BTreeMap;

use ts_rs::{Config, TS, TypeVisitor};

/// Types met so far, each with its declaration.
pub(crate) struct Types {
    config: Config,
    pub(super) declared: BTreeMap<String, String>,
}

impl Types {
    pub(super) fn new() -> Self {
        Self {
            config: Config::default().with_large_int("number"),
            declared: BTreeMap::new(),
        }
    }

    /// The name of a type, after it and all it is made of were declared.
    pub(crate) fn name_of<T: TS + 'static + ?Sized>(&mut self) -> String {
        self.visit::<T>();
        T::name(&self.config)
    }
}

impl TypeVisitor for Types {
    fn visit<T: TS + 'static + ?Sized>(&mut self) {
        // Only what has a file of its own has a declaration; strings, lists and options do not.
        if T::output_path().is_some() {
            let name = T::ident(&self.config);
            if self.declared.contains_key(&name) {
                return;
            }
            let docs = T::docs().map_or_else(String::new, |docs| spaced(&docs));
            self.declared
                .insert(name, format!("{docs}export {}", T::decl(&self.config)));
        }
        T::visit_dependencies(self);
        T::visit_generics(self);
    }
}

/// Doc comments that came through a macro have no space after their star.
fn spaced(docs: &str) -> String {
    let line = |line: &str| match line.strip_prefix(" *") {
        Some(text) if !text.is_empty() && !text.starts_with([' ', '/']) => format!(" * {text}\n"),
        _ => format!("{line}\n"),
    };
    docs.lines().map(line).collect()
}
