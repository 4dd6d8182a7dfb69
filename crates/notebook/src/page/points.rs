//! Points to settle as pages show them: each with its names, and one question told as a talk. What is one question, and every
//! word of it, the record's rules say; nothing here decides.

use std::collections::BTreeSet;

use std::collections::BTreeMap;

use record::entities::{Assembly, Settlement, SettlementRef};
use record::past::{Past as _, Strands};
use record::rules::{Point, Question, Rule, Side, Talk, each_with, questions, said_with};
use record::words::AssemblyState;
use record::{ChangeId, Id, Ref, Scalar, Stamp};

use super::lines::Reader;
use crate::wire::{
    AgreedLine, ApartLine, AskOther, AskedOf, Named, PhotoLine, PointOut, QuestionChoice, QuestionPage,
    QuestionSide, ReopenedLine, SaidBefore, SaidSo, SideOut,
};

/// Most photos that a question shows.
const MOST_PHOTOS: usize = 6;

/// Points as a page names them that shows what they are about.
pub(crate) fn asked_of<'p>(points: impl IntoIterator<Item = &'p Point>) -> Vec<AskedOf> {
    let each = points.into_iter().map(|point| AskedOf {
        point: point.id.clone(),
        title: point.title.clone(),
    });
    each.collect()
}

/// Points ready to be shown.
pub(crate) fn points(read: &Reader<'_>, points: &[Point]) -> Vec<PointOut> {
    // A list reads the same on every device: nobody is 'you' in it.
    let talk = Talk {
        view: read.view,
        me: None,
    };
    let asked = questions(points);
    let each = asked
        .iter()
        .flat_map(|one| one.points().map(move |of| (of.id.as_str(), one)));
    let asked_in: BTreeMap<&str, &Question<'_>> = each.collect();
    let out = |point: &Point| {
        let question = asked_in.get(point.id.as_str()).copied();
        PointOut {
            id: point.id.clone(),
            rule: point.rule,
            title: point.title.clone(),
            asks: question.map_or_else(|| point.title.clone(), |question| talk.asks(question)),
            question: question.map_or_else(|| point.id.clone(), |question| question.lead.id.clone()),
            about: point.about.clone(),
            things: match point.rule {
                Rule::SettledTwoWays => point.about.iter().map(|name| read.named(name)).collect(),
                _ => Vec::new(),
            },
            field: point.field.clone(),
            sides: point.sides.iter().map(|one| side(read, point, one)).collect(),
            choices: point.choices.clone(),
        }
    };
    points.iter().map(out).collect()
}

/// How many questions that is.
pub(crate) fn count(points: &[Point]) -> u32 {
    u32::try_from(questions(points).len()).unwrap_or(u32::MAX)
}

fn side(read: &Reader<'_>, point: &Point, side: &Side) -> SideOut {
    SideOut {
        key: side.key.clone(),
        // The point knows what it is about; a sheet need not be among the entries at hand.
        about: Named {
            name: side.about.clone(),
            title: side.title.clone(),
        },
        // What a settlement chose is said by the rule, which knows what it was about.
        said: match point.rule {
            Rule::SettledTwoWays => side.title.clone(),
            _ => said(read, side, point.field.as_deref()),
        },
        value: side.value.clone(),
        by: read.by(&side.stamp),
        knew_other: side.knew_other,
    }
}

/// A value as a person reads it.
fn said(read: &Reader<'_>, side: &Side, field: Option<&str>) -> String {
    let line = side.value.as_ref().and_then(Scalar::line);
    // What is of no field is a word of the rule's own: `above limits`, `open`.
    if let (None, Some(word)) = (field, line) {
        return word.replace('_', " ");
    }
    let field = field.unwrap_or_default();
    record::said::value(side.about.kind, field, side.value.as_ref(), &|name| {
        read.named(name).title
    })
}

/// The question that a point is asked in; nothing where it is settled.
pub(crate) fn question(
    read: &Reader<'_>,
    past: &Strands,
    points: &[Point],
    point: &str,
) -> Option<QuestionPage> {
    let all = questions(points);
    let at = all.iter().position(|one| one.points().any(|of| of.id == point))?;
    let asked = all.get(at)?;
    let me = read.me();
    let talk = Talk {
        view: read.view,
        me: me.as_ref(),
    };
    let lead = asked.lead;
    let next = all.get(at.saturating_add(1)).or_else(|| all.first());
    let asks = Talk { me: None, ..talk }.asks(asked);
    let small = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
    let mut sides: Vec<(Stamp, QuestionSide)> = lead
        .sides
        .iter()
        .map(|side| (side.stamp.clone(), told(read, &talk, past, points, asked, side)))
        .collect();
    sides.sort_by(|(a, _), (b, _)| (a.at, &a.change).cmp(&(b.at, &b.change)));
    let choice = |choice: &record::rules::Choice| {
        let with = each_with(read.view, past, points, lead, &choice.key);
        let words = talk.choice(asked, &choice.key, &with);
        QuestionChoice {
            key: choice.key.clone(),
            wants_why: choice.wants_why,
            says: words.says,
            now: words.now,
            puts: (lead.rule == Rule::SettledTwoWays && !choice.wants_why)
                .then(|| talk.puts_back(&record::rules::puts_back(read.view, past, lead, &choice.key))),
        }
    };
    Some(QuestionPage {
        id: lead.id.clone(),
        points: asked.points().map(|one| one.id.clone()).collect(),
        rule: lead.rule,
        sides: sides.into_iter().map(|(_, side)| side).collect(),
        reopened: asked.points().find_map(|point| reopened(read, &talk, point)),
        before: before(read, &talk, past, asked),
        things: things(&talk, lead),
        photos: photos(read, lead),
        choices: lead.choices.iter().map(choice).collect(),
        neither: lead
            .about
            .first()
            .filter(|_| lead.rule == Rule::TwoValues && lead.choices.len() > 1)
            .cloned(),
        ask: ask(read, me.as_ref(), lead, &asks),
        cautions: if lead.rule.is_of_a_closing() {
            record::cautions::notes(&[&asks])
        } else {
            Vec::new()
        },
        asks,
        place: small(at.saturating_add(1)),
        of: small(all.len()),
        next: next
            .map(|next| next.lead.id.clone())
            .filter(|next| *next != lead.id),
    })
}

fn told(
    read: &Reader<'_>,
    talk: &Talk<'_>,
    past: &Strands,
    points: &[Point],
    asked: &Question<'_>,
    side: &Side,
) -> QuestionSide {
    let lead = asked.lead;
    let kind = side.about.kind;
    let mut says = Vec::new();
    if lead.rule == Rule::TwoValues {
        let field = lead.field.as_deref().unwrap_or_default();
        let mut rest = vec![(field, side.value.clone())];
        let with = each_with(read.view, past, points, lead, &side.key);
        rest.extend(with.into_iter().map(|too| (too.field, too.value)));
        let order = said_with(kind, field);
        rest.sort_by_key(|(field, _)| order.iter().position(|one| one == field));
        let said = rest
            .iter()
            .filter(|(one, value)| *one == field || value.is_some());
        says.extend(said.map(|(field, value)| SaidSo {
            label: Talk::label(kind, field),
            words: talk.value(kind, field, value.as_ref()),
        }));
    }
    let knew = match (side.knew_other, lead.rule) {
        (true, _) => "knew of the other entry",
        (false, Rule::SettledTwoWays) => "could not know that it was settled already",
        (false, _) => "could not know of the other entry",
    };
    QuestionSide {
        key: side.key.clone(),
        about: Named {
            name: side.about.clone(),
            title: match lead.rule {
                Rule::SettledTwoWays => side.title.clone(),
                _ => talk.full(&side.about),
            },
        },
        did: talk.did(lead, side),
        says,
        value: (lead.rule == Rule::ReadingsDiffer)
            .then(|| {
                side.value
                    .as_ref()
                    .and_then(Scalar::line)
                    .map(record::said::typed)
            })
            .flatten(),
        by: read.by(&side.stamp),
        knew: knew.to_owned(),
    }
}

/// What the fields read for whoever wrote the sides, before they did: where that is the same for all of them.
fn before(read: &Reader<'_>, talk: &Talk<'_>, past: &Strands, asked: &Question<'_>) -> Option<SaidBefore> {
    let lead = asked.lead;
    if lead.rule != Rule::TwoValues {
        return None;
    }
    let name = lead.about.first()?;
    let mut says = Vec::new();
    let (mut by, mut something) = (None, false);
    for point in asked.points() {
        let field = point.field.as_deref()?;
        let mut values = lead.sides.iter().map(|side| {
            let claims = past.field_before(name, field, &side.stamp.change);
            let value = claims.first().and_then(|claim| claim.value.clone());
            let one = claims.iter().all(|claim| claim.value == value);
            (value, one, claims.first().map(|claim| claim.stamp.clone()))
        });
        let (value, one, stamp) = values.next()?;
        if !one || values.any(|(other, one, _)| other != value || !one) {
            continue;
        }
        something |= value.is_some();
        if value.is_some() && by.is_none() {
            by = stamp.as_ref().map(|stamp| read.by(stamp));
        }
        says.push(SaidSo {
            label: Talk::label(name.kind, field),
            words: talk.value(name.kind, field, value.as_ref()),
        });
    }
    // That nothing was said before goes without saying.
    something.then_some(SaidBefore { says, by })
}

fn things(talk: &Talk<'_>, lead: &Point) -> Vec<Named> {
    let mut seen = BTreeSet::new();
    let about = lead.about.iter().filter(|name| seen.insert((*name).clone()));
    about
        .map(|name| Named {
            name: name.clone(),
            title: talk.full(name),
        })
        .collect()
}

/// The newest photos of what it is about.
fn photos(read: &Reader<'_>, lead: &Point) -> Vec<PhotoLine> {
    let about: BTreeSet<&Ref> = lead.about.iter().collect();
    let mut found: Vec<PhotoLine> = Vec::new();
    for name in about {
        let pictures = read
            .pictures(name)
            .into_iter()
            .filter(|photo| photo.struck.is_none());
        for photo in pictures {
            if !found.iter().any(|one| one.id == photo.id) {
                found.push(photo);
            }
        }
    }
    found.sort_by(|a, b| (&b.on, &b.id).cmp(&(&a.on, &a.id)));
    found.truncate(MOST_PHOTOS);
    found
}

/// Most agreements that are listed.
const MOST_AGREED: usize = 200;

/// What was agreed, newest first: what one act settled is one line.
pub(crate) fn agreed(read: &Reader<'_>) -> Vec<AgreedLine> {
    let me = read.me();
    let talk = Talk {
        view: read.view,
        me: me.as_ref(),
    };
    let mut all: Vec<SettlementRef<'_>> = read.view.each::<Settlement>().collect();
    // What was settled in one act stands together, as the thing is said.
    all.sort_by_key(|one| {
        let made = &one.entry().made;
        let about: Option<Ref> = one.about().and_then(|about| about.parse().ok());
        let place = about.zip(one.field()).and_then(|(about, field)| {
            let said = said_with(about.kind, field);
            said.iter().position(|one| *one == field)
        });
        (std::cmp::Reverse(made.at), made.change, place, one.id().clone())
    });
    let mut lines: Vec<(&ChangeId, AgreedLine)> = Vec::new();
    for settled in all {
        let made = &settled.entry().made;
        let about: Vec<Ref> = settled
            .about()
            .unwrap_or_default()
            .split(' ')
            .filter_map(|name| name.parse().ok())
            .collect();
        let things: Vec<Named> = about
            .iter()
            .map(|name| Named {
                name: name.clone(),
                title: talk.full(name),
            })
            .collect();
        let came_to = came_to(read, &talk, settled, about.first());
        if let Some((_, line)) = lines
            .iter_mut()
            .find(|(change, line)| *change == &made.change && line.about == things)
        {
            line.came_to = format!("{}; {came_to}", line.came_to);
            continue;
        }
        if lines.len() == MOST_AGREED {
            break;
        }
        let rule = settled.rule().unwrap_or_default();
        let line = AgreedLine {
            name: settled.entry().name(),
            rule: Rule::ALL.iter().copied().find(|one| one.word() == rule),
            about: things,
            came_to,
            why: settled.why().map(record::shown),
            by: read.by(made),
            reopened: read.struck(settled.entry()),
        };
        lines.push((&made.change, line));
    }
    lines.into_iter().map(|(_, line)| line).collect()
}

/// What a settlement came to, in words.
fn came_to(read: &Reader<'_>, talk: &Talk<'_>, settled: SettlementRef<'_>, about: Option<&Ref>) -> String {
    let said = record::rules::came_to(read.view, settled.entry());
    // What was left closed then, and was opened since, is said so: the words are of that day.
    let closed = settled.rule().is_some_and(|rule| rule.starts_with("closed_over"));
    let now = about.and_then(|name| read.view.one::<Assembly>(&name.id)?.state());
    let opened = closed && settled.choice() == Some("let_stand") && now != Some(AssemblyState::Closed);
    said.map(|said| {
        if opened {
            format!("{said}; it was opened since")
        } else {
            said
        }
    })
    .or_else(|| holds(read, talk, settled, about))
    .unwrap_or_else(|| talk.chosen(settled.choice().unwrap_or_default()))
}

/// What a settlement was about, as its day names it: the things by their names.
pub(super) fn settled_of(read: &Reader<'_>, settled: SettlementRef<'_>) -> String {
    let talk = Talk {
        view: read.view,
        me: None,
    };
    let about = settled.about().unwrap_or_default().split(' ');
    let things = about.filter_map(|name| name.parse().ok());
    let things: Vec<String> = things.take(2).map(|name: Ref| talk.full(&name)).collect();
    if things.is_empty() {
        // An older program did not keep what it was about.
        return settled.rule().unwrap_or_default().replace('_', " ");
    }
    things.join("; ")
}

/// What it came to, and why: what its day tells of it.
pub(super) fn settled_so(read: &Reader<'_>, settled: SettlementRef<'_>) -> String {
    let talk = Talk {
        view: read.view,
        me: None,
    };
    let about: Option<Ref> = settled
        .about()
        .and_then(|about| about.split(' ').next()?.parse().ok());
    let came = came_to(read, &talk, settled, about.as_ref());
    let why = settled.why().map(|why| format!("since {}", record::shown(why)));
    std::iter::once(came).chain(why).collect::<Vec<_>>().join("; ")
}

/// By whom a point was settled before, and by whom and why it is reopened.
fn reopened(read: &Reader<'_>, talk: &Talk<'_>, point: &Point) -> Option<ReopenedLine> {
    let reopened = point.reopened.as_ref()?;
    let settled = read.view.one::<Settlement>(&reopened.settlement)?;
    Some(ReopenedLine {
        came_to: came_to(read, talk, settled, point.about.first()),
        agreed_by: read.by(&settled.entry().made),
        agreed_why: settled.why().map(record::shown),
        by: read.by(&reopened.by),
        why: record::shown(&reopened.why),
        apart: reopened
            .apart
            .iter()
            .map(|said| ApartLine {
                by: read.by(&said.by),
                why: said.why.as_deref().map(record::shown),
            })
            .collect(),
    })
}

/// Which of several values was said to hold: what the settlement itself put, as long as nobody wrote it again.
fn holds(
    read: &Reader<'_>,
    talk: &Talk<'_>,
    settled: SettlementRef<'_>,
    about: Option<&Ref>,
) -> Option<String> {
    let (name, field) = (about?, settled.field()?);
    let label = Talk::label(name.kind, field);
    // Written again since, it still is what was agreed then.
    if let Some(had) = settled.had() {
        let had = Scalar::Line(had.to_owned());
        return Some(format!("{label}: {}", talk.value(name.kind, field, Some(&had))));
    }
    let put = read.view.find(name)?.claims(field).iter();
    let put = put
        .clone()
        .find(|claim| claim.stamp.change == settled.entry().made.change);
    Some(match put {
        Some(claim) => format!("{label}: {}", talk.value(name.kind, field, claim.value.as_ref())),
        None => format!("{label}: one of several; it was written again since"),
    })
}

fn ask(read: &Reader<'_>, me: Option<&Id>, lead: &Point, asks: &str) -> Option<AskOther> {
    let me = me?;
    let others: BTreeSet<String> = lead
        .sides
        .iter()
        .map(|side| read.by(&side.stamp))
        .filter(|by| by.keeper.as_ref().is_some_and(|keeper| keeper != me) && !by.name.is_empty())
        .map(|by| by.name)
        .collect();
    if others.is_empty() {
        return None;
    }
    let who = others.into_iter().collect::<Vec<_>>().join(" and ");
    Some(AskOther {
        text: format!("To settle with {who}: {asks}"),
        who,
    })
}
