//! Clauses: where sentences part, and in what mood each stretch speaks: stated, supposed, wished, asked.

use super::phrase::Piece;
use crate::knowledge::{AskKind, AskWords, Keeps, Lexicon, Role, Sense};

/// How far behind an "if" the question about it may open, in pieces.
const SUPPOSED: usize = 24;

/// In what mood a stretch of a message speaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mood {
    /// It says how things are.
    Stated,
    /// It supposes: "if it drops to 15".
    Supposed,
    /// It wishes: "get pH down to 7.5".
    Wished,
    /// It asks, and still states so much.
    Asked(Keeps),
    /// It is not so yet: "might freeze", "before the power goes".
    Unreal,
    /// It is about another pool or another year, or the speaker does not know.
    Void,
}

/// What is known of the place of a piece.
#[derive(Debug, Clone, Copy)]
pub struct Mark {
    /// Which sentence.
    pub sentence: usize,
    /// Which clause.
    pub clause: usize,
    /// In what mood it speaks.
    pub mood: Mood,
}

/// One clause.
#[derive(Debug, Clone, Copy)]
pub struct Clause {
    /// Its first piece.
    pub first: usize,
    /// The piece after its last.
    pub end: usize,
    /// Its sentence.
    pub sentence: usize,
    /// The question it asks.
    pub ask: Option<AskWords>,
    /// It tells of the past.
    pub past: bool,
    /// It tells of now.
    pub now: bool,
    /// It speaks of one's own things.
    pub own: bool,
}

/// The clauses of a message, and the place of each of its pieces.
#[derive(Debug, Default)]
pub struct Clauses {
    /// The clauses in order.
    pub list: Vec<Clause>,
    /// One mark a piece.
    pub marks: Vec<Mark>,
}

impl Clauses {
    /// The mark of a piece.
    #[must_use]
    pub fn mark(&self, piece: usize) -> Mark {
        self.marks.get(piece).copied().unwrap_or(Mark {
            sentence: 0,
            clause: 0,
            mood: Mood::Stated,
        })
    }

    /// The clause of a piece.
    #[must_use]
    pub fn of(&self, piece: usize) -> Option<&Clause> {
        self.list.get(self.mark(piece).clause)
    }
}

/// Parts a message into clauses and finds the mood of each.
#[must_use]
pub fn clauses(pieces: &[Piece<'_>], lexicon: &Lexicon) -> Clauses {
    let mut list = part(pieces, lexicon);
    let mut from = 0;
    while let Some(first) = list.get(from) {
        let sentence = first.sentence;
        let count = list.iter().skip(from).take_while(|c| c.sentence == sentence).count();
        if let Some(inside) = list.get_mut(from..from + count) {
            question_mark(pieces, inside);
        }
        from += count;
    }
    let marks = moods(pieces, &list);
    Clauses { list, marks }
}

/// Whether a new clause begins at a piece that is not the first of its sentence.
fn begins(pieces: &[Piece<'_>], at: usize, lexicon: &Lexicon) -> bool {
    let Some(piece) = pieces.get(at) else { return false };
    // "Not sure which way it's heading" asks nothing.
    let unsure = at.checked_sub(1).and_then(|n| pieces.get(n)).is_some_and(|p| p.is(Role::Unsure));
    if (piece.is(Role::Turn) && !unsure) || piece.is(Role::If) {
        return true;
    }
    asks(piece, lexicon).any(|ask| ask.opens)
        || (at > 0
            && pieces.get(at - 1).is_some_and(|p| p.is(Role::And))
            && starts_question(pieces, at, lexicon).is_some())
}

fn asks<'k>(piece: &'k Piece<'_>, lexicon: &'k Lexicon) -> impl Iterator<Item = &'k AskWords> {
    piece.senses.iter().filter_map(|sense| match sense {
        Sense::Ask(at) => lexicon.ask(*at),
        _ => None,
    })
}

/// The question that begins at a piece: by an opener, or by a verb before its subject.
fn starts_question(pieces: &[Piece<'_>], at: usize, lexicon: &Lexicon) -> Option<AskWords> {
    let piece = pieces.get(at)?;
    if let Some(ask) = asks(piece, lexicon).find(|ask| ask.starts) {
        return Some(*ask);
    }
    if !piece.is(Role::AskAux) {
        return None;
    }
    let next = pieces.get(at + 1)?;
    let subject = next.is(Role::Definite)
        || next.is(Role::Pronoun)
        || next.is(Role::Own)
        || next.measure.is_some()
        || (next.is_state() && next.gerund && is_asked(pieces, at))
        || next.is_thing()
        || next.is_label();
    subject.then_some(AskWords {
        kind: AskKind::Lookup,
        rank: 0,
        opens: false,
        starts: true,
        keeps: Keeps::Nothing,
    })
}

/// Whether the sentence of a piece ends in a question mark: "is making noise" states, as Spanish speakers do.
fn is_asked(pieces: &[Piece<'_>], at: usize) -> bool {
    let end = pieces.iter().skip(at).take(24).find(|piece| piece.ends_sentence());
    end.is_some_and(|piece| piece.sign == Some('?'))
}

fn part(pieces: &[Piece<'_>], lexicon: &Lexicon) -> Vec<Clause> {
    let mut list: Vec<Clause> = Vec::new();
    let (mut first, mut sentence) = (0, 0);
    for (at, piece) in pieces.iter().enumerate() {
        let comma = piece.sign == Some(',') && !between_numbers(pieces, at);
        if (piece.ends_sentence() && !answers_itself(pieces, at)) || comma {
            close(&mut list, pieces, (first, at + 1), sentence, lexicon);
            first = at + 1;
            if piece.ends_sentence() {
                sentence += 1;
            }
        } else if at > first
            && ((begins(pieces, at, lexicon) && !asked_on(pieces, first, at, lexicon))
                || asks_of_a_supposition(pieces, first, at, lexicon))
        {
            close(&mut list, pieces, (first, at), sentence, lexicon);
            first = at;
        }
    }
    close(&mut list, pieces, (first, pieces.len()), sentence, lexicon);
    list
}

/// "If I lower the speed to 1200 will the pipes freeze": the question behind what is supposed.
fn asks_of_a_supposition(pieces: &[Piece<'_>], first: usize, at: usize, lexicon: &Lexicon) -> bool {
    if !pieces.get(at).is_some_and(|piece| piece.is(Role::AskAux)) {
        return false;
    }
    let first = first.max(at.saturating_sub(SUPPOSED));
    let mut inside = pieces.get(first..at).unwrap_or(&[]).iter();
    let supposes = inside.by_ref().any(|p| p.is(Role::If) || p.is(Role::IfFirst));
    let told = |p: &Piece<'_>| p.is_state() || p.measure.is_some() || p.is(Role::Common);
    supposes && inside.any(told) && starts_question(pieces, at, lexicon).is_some()
}

/// "How much acid do I need": the second opener belongs to the question that runs.
fn asked_on(pieces: &[Piece<'_>], first: usize, at: usize, lexicon: &Lexicon) -> bool {
    let joins = |role| pieces.get(at).is_some_and(|piece| piece.is(role));
    let parted = at.checked_sub(1).and_then(|n| pieces.get(n)).is_some_and(|p| p.is(Role::And));
    !parted
        && !joins(Role::If)
        && !joins(Role::Turn)
        && pieces.get(first).is_some_and(|piece| asks(piece, lexicon).any(|ask| ask.starts))
}

/// "pH? 7.4.": a label asked and answered in one breath.
fn answers_itself(pieces: &[Piece<'_>], at: usize) -> bool {
    let before = at.checked_sub(1).and_then(|n| pieces.get(n));
    let after = pieces.get(at + 1);
    pieces.get(at).is_some_and(|piece| piece.sign == Some('?'))
        && before.is_some_and(Piece::is_label)
        && after.is_some_and(|piece| piece.measure.is_some())
}

/// "7.2, 90, 180" is one list.
fn between_numbers(pieces: &[Piece<'_>], at: usize) -> bool {
    let number = |at: Option<usize>| {
        at.and_then(|at| pieces.get(at)).is_some_and(|piece| piece.measure.is_some())
    };
    number(at.checked_sub(1)) && number(Some(at + 1))
}

fn close(
    list: &mut Vec<Clause>,
    pieces: &[Piece<'_>],
    (first, end): (usize, usize),
    sentence: usize,
    lexicon: &Lexicon,
) {
    let Some(inside) = pieces.get(first..end).filter(|inside| !inside.is_empty()) else { return };
    let has = |role| inside.iter().any(|piece| piece.is(role));
    let lead = lead(inside);
    let opener = starts_question(pieces, first + lead, lexicon)
        .or_else(|| starts_question(pieces, first, lexicon));
    let ask = opener.map(|opener| {
        inside
            .iter()
            .flat_map(|piece| asks(piece, lexicon))
            .fold(opener, |best, ask| if ask.rank > best.rank { *ask } else { best })
    });
    let own = has(Role::Definite) || has(Role::Pronoun) || has(Role::Own);
    list.push(Clause {
        first,
        end,
        sentence,
        ask,
        past: has(Role::Past),
        now: has(Role::Now),
        own,
    });
}

/// The first piece of a clause that is more than a greeting or a filler.
fn lead(inside: &[Piece<'_>]) -> usize {
    inside
        .iter()
        .position(|p| {
            let greeting = p.is(Role::Greeting) || p.is(Role::And) || p.is(Role::Turn);
            let opens = p.is(Role::IfFirst) || p.is(Role::WishFirst);
            opens || !(greeting || p.is(Role::Filler) || p.sign == Some(','))
        })
        .unwrap_or(0)
}

/// A sentence that ends in a question mark asks somewhere: if no clause does, its last one.
fn question_mark(pieces: &[Piece<'_>], clauses: &mut [Clause]) {
    let marked = clauses.last().is_some_and(|clause| {
        clause.end.checked_sub(1).and_then(|at| pieces.get(at)).is_some_and(|p| p.sign == Some('?'))
    });
    let supposes = clauses
        .iter()
        .any(|c| pieces.get(c.first..c.end).unwrap_or(&[]).iter().any(|p| p.is(Role::If)));
    let kind = clauses.iter().find_map(|clause| clause.ask).map(|ask| ask.kind);
    if let Some(kind) = kind.filter(|_| marked && !supposes) {
        clauses.iter_mut().for_each(|clause| alternatives(pieces, clause, kind));
    }
    if !marked || supposes || clauses.iter().any(|clause| clause.ask.is_some()) {
        return;
    }
    if let Some(last) = clauses.last_mut() {
        if pieces.get(last.first..last.end).unwrap_or(&[]).iter().all(|p| p.sign.is_some()) {
            return;
        }
        // "Calcium for a vinyl pool?": a reading named without its number is asked for.
        let inside = pieces.get(last.first..last.end).unwrap_or(&[]);
        let named = inside.first().is_some_and(Piece::is_label)
            && !inside.iter().any(|p| p.measure.is_some());
        last.ask = Some(AskWords {
            kind: if named { AskKind::Target } else { AskKind::Lookup },
            rank: 0,
            opens: false,
            starts: true,
            keeps: Keeps::Nothing,
        });
    }
}

/// "Evaporation or a leak, how do I tell?": in a sentence that asks, two things with an "or" and no verb are asked about.
fn alternatives(pieces: &[Piece<'_>], clause: &mut Clause, kind: AskKind) {
    let inside = pieces.get(clause.first..clause.end).unwrap_or(&[]);
    let or = inside.iter().any(|p| p.is(Role::Or));
    let told = |p: &Piece<'_>| p.measure.is_some() || p.is(Role::Copula) || p.is(Role::Not);
    if or && clause.ask.is_none() && !inside.iter().any(told) {
        clause.ask =
            Some(AskWords { kind, rank: 0, opens: false, starts: true, keeps: Keeps::Nothing });
    }
}

fn moods(pieces: &[Piece<'_>], list: &[Clause]) -> Vec<Mark> {
    let mut marks = Vec::with_capacity(pieces.len());
    // A supposition runs on through the clauses of its sentence until a question or a "then".
    let mut supposing: Option<usize> = None;
    let mut asked_in: Option<usize> = None;
    for (n, clause) in list.iter().enumerate() {
        let inside = pieces.get(clause.first..clause.end).unwrap_or(&[]);
        if supposing.is_some_and(|sentence| sentence != clause.sentence) {
            supposing = None;
        }
        if asked_in.is_some_and(|sentence| sentence != clause.sentence) {
            asked_in = None;
        }
        let turned = inside.first().is_some_and(|p| p.is(Role::Turn)) && clause.ask.is_none();
        if clause.ask.is_some() {
            supposing = None;
            asked_in = Some(clause.sentence);
        }
        let mut mood = match (clause.ask, supposing) {
            (Some(ask), _) => Mood::Asked(kept(ask, clause)),
            // "What happens if it fails, but it just failed".
            (None, Some(_)) if turned && inside.iter().any(|p| p.is(Role::Just)) => Mood::Stated,
            (None, Some(_)) if turned => Mood::Void,
            (None, Some(_)) => Mood::Supposed,
            (None, None) => Mood::Stated,
        };
        if inside.iter().any(|p| p.is(Role::Elsewhere) || p.is(Role::OtherTime)) {
            mood = Mood::Void;
        }
        let lead = lead(inside);
        for (n_inside, piece) in inside.iter().enumerate() {
            let first = n_inside == lead;
            if mood != Mood::Void {
                let when = piece.is(Role::When) && asked_in.is_some() && !clause.past;
                let near = list.get(n.saturating_sub(4)..=n).unwrap_or(&[]);
                if when && near.iter().any(|c| in_general(c, clause.sentence)) {
                    // "Why does a cell quit when it is cold?" supposes nothing.
                    mood = Mood::Void;
                } else if piece.is(Role::If)
                    || (first && piece.is(Role::IfFirst) && clause.ask.is_none())
                    || when
                {
                    mood = Mood::Supposed;
                    supposing = Some(clause.sentence);
                } else if piece.is(Role::Unsure) {
                    mood = Mood::Void;
                } else if mood != Mood::Supposed
                    && (piece.is(Role::Wish) || (first && piece.is(Role::WishFirst)))
                {
                    mood = Mood::Wished;
                } else if mood == Mood::Stated
                    && (piece.is(Role::Unreal) || (piece.is(Role::Before) && !clause.past))
                {
                    mood = Mood::Unreal;
                }
            }
            marks.push(Mark { sentence: clause.sentence, clause: n, mood });
        }
    }
    marks
}

/// Whether a clause of a sentence asks for a reason in general.
fn in_general(clause: &Clause, sentence: usize) -> bool {
    clause.sentence == sentence
        && clause.ask.is_some_and(|ask| ask.kind == AskKind::Explain && ask.keeps == Keeps::Nothing)
}

/// What a question keeps: "own" is all or nothing, as it speaks of one's own things or of things at large.
const fn kept(ask: AskWords, clause: &Clause) -> Keeps {
    match ask.keeps {
        Keeps::Own if clause.own => Keeps::All,
        Keeps::Own => Keeps::Nothing,
        other => other,
    }
}
