//! The TypeScript side of the wire, written from the Rust types: every type that crosses, and one map from a
//! command's name to its arguments and reply. It is committed and compared in the tests; nobody edits it.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use ts_rs::{Config, TS, TypeVisitor};

/// Types met so far, each with its declaration.
pub(crate) struct Types {
    config: Config,
    declared: BTreeMap<String, String>,
}

impl Types {
    fn new() -> Self {
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

/// The whole generated file.
#[must_use]
pub fn typescript() -> String {
    let mut types = Types::new();
    let mut map = String::new();
    for command in super::registry() {
        let (args, reply) = (command.types)(&mut types);
        let kind = if command.writes { "command" } else { "query" };
        // Writing into a string cannot fail.
        let _ = writeln!(
            map,
            "  /** {} ({kind}) */\n  {}: {{ args: {args}; reply: {reply} }};",
            command.says, command.name
        );
    }
    types.visit::<crate::wire::Answered>();
    types.visit::<crate::wire::Patch>();
    types.visit::<crate::photo::TakenPhoto>();
    // What a refusal of the bench carries in its arguments.
    types.visit::<reckon::ReckonRefusal>();
    let mut out = String::from(
        "// What crosses between the notebook and its faces. Generated from the Rust types; never edited by hand.\n\n",
    );
    for declaration in types.declared.values() {
        out.push_str(declaration);
        out.push_str("\n\n");
    }
    let _ = write!(
        out,
        "/** Every command and query by its name. */\nexport interface Commands {{\n{map}}}\n"
    );
    out
}
