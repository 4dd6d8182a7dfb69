//! Fields given for an entity, each checked for its shape; nothing is held against a record yet.

use crate::entities::field_of;
use crate::entity::{Entity, Fields};
use crate::entry::Scalar;
use crate::field::{FieldDef, Stored};
use crate::name::Kind;
use crate::refusal::Refusal;

/// Fields given for an entity of a kind known at run time, each checked for its shape.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GivenFields {
    kind: Kind,
    fields: Vec<(&'static str, Stored)>,
}

impl GivenFields {
    /// From typed fields.
    ///
    /// # Errors
    /// A field that does not fit.
    pub fn of<E: Entity>(fields: &E::Fields) -> Result<Self, Refusal> {
        let fields = stored(fields)?
            .into_iter()
            .map(|(def, value)| (def.name, value))
            .collect();
        Ok(Self {
            kind: E::KIND,
            fields,
        })
    }

    /// Of which kind.
    #[must_use]
    pub fn kind(&self) -> Kind {
        self.kind
    }

    /// All of them, as they were given.
    pub(crate) fn all(&self) -> &[(&'static str, Stored)] {
        &self.fields
    }

    /// Each field with its definition and value.
    pub(crate) fn each(&self) -> impl Iterator<Item = (&'static FieldDef, &Stored)> {
        self.fields
            .iter()
            .filter_map(|(name, value)| Some((field_of(self.kind, name)?, value)))
    }

    /// What is given for a field that keeps one value; nothing where it is left as it is.
    pub(crate) fn scalar(&self, field: &str) -> Option<&Option<Scalar>> {
        let given = self.fields.iter().find(|(name, _)| *name == field)?;
        match &given.1 {
            Stored::Scalar(value) => Some(value),
            _ => None,
        }
    }

    /// The text given for a field.
    #[must_use]
    pub fn line(&self, field: &str) -> Option<&str> {
        self.fields
            .iter()
            .find(|(name, _)| *name == field)
            .and_then(|(_, value)| match value {
                Stored::Scalar(Some(Scalar::Line(text))) => Some(text.as_str()),
                _ => None,
            })
    }
}

/// The typed fields of `fields`, checked one by one.
fn stored<F: Fields>(fields: &F) -> Result<Vec<(FieldDef, Stored)>, Refusal> {
    fields.stored().map_err(|(field, why)| Refusal::Misfit {
        field: field.to_owned(),
        why,
    })
}
