//! The TypeScript side of the wire, written from the Rust types: every type that crosses, and one map from a
//! command's name to its arguments and reply. It is committed and compared in the tests; nobody edits it.

use std::fmt::Write as _;

use ts_rs::TypeVisitor as _;

use super::types::Types;

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
