//! The parts that words may play in a sentence, apart from naming things and values.

use serde::{Deserialize, Serialize};

macro_rules! roles {
    ($($(#[doc = $doc:literal])* $role:ident = $name:literal,)*) => {
        /// A part a word plays. The words stand in `knowledge/lexicon/`.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        pub enum Role { $($(#[doc = $doc])* $role,)* }

        impl Role {
            /// Every role with its name in the lexicon.
            pub const ALL: &'static [(Self, &'static str)] = &[$((Self::$role, $name),)*];
        }
    };
}

roles! {
    /// Heard for "no" by dictation: know.
    HeardNo = "heard-no",
    /// Heard for "off", or typed for it: of.
    HeardOff = "heard-off",
    /// Turns a statement round: not, no, never.
    Not = "not",
    /// Denies the whole clause that follows: it's not like, not that there's.
    NotSo = "not-so",
    /// Denies what stands before it: "ice: none".
    Denied = "denied",
    /// Ends what follows it: "stopped leaking".
    Cease = "cease",
    /// Opens a supposition: if, say, suppose.
    If = "if",
    /// Opens a supposition at the start of a clause: say the pump stops.
    IfFirst = "if-first",
    /// Opens a supposition only inside a question: when.
    When = "when",
    /// Says that the speaker does not know: not sure whether.
    Unsure = "unsure",
    /// Opens a wish: want to, trying to.
    Wish = "wish",
    /// Opens a wish at the start of a clause: get the pH down.
    WishFirst = "wish-first",
    /// Not real yet: might, could, before, to keep from.
    Unreal = "unreal",
    /// Not real yet, unless told of the past: before the.
    Before = "before",
    /// Someone else's pool.
    Elsewhere = "elsewhere",
    /// Another season: last winter, usually.
    OtherTime = "other-time",
    /// And.
    And = "and",
    /// Or, nor.
    Or = "or",
    /// Turns the sentence: but, so, because, then.
    Turn = "turn",
    /// Now, this moment.
    Now = "now",
    /// Past: was, last night.
    Past = "past",
    /// Tells of a state that is over: after being.
    Formerly = "formerly",
    /// Still to come: tonight, going to.
    Ahead = "ahead",
    /// Roughly.
    Approx = "approx",
    /// Less than.
    Under = "under",
    /// More than.
    Over = "over",
    /// Between two numbers.
    Between = "between",
    /// To, up to: the end of a range or a target.
    To = "to",
    /// From: the start of a change.
    From = "from",
    /// Takes back what was said just before: I mean, sorry.
    Correct = "correct",
    /// Stands for a thing named before: it, they.
    Pronoun = "pronoun",
    /// Points at one's own thing: the, my.
    Definite = "definite",
    /// The speaker, or what was just spoken of: I, we, it.
    Own = "own",
    /// Any such thing: a, an.
    Indefinite = "indefinite",
    /// In, on, at, under.
    Preposition = "preposition",
    /// Words that carry nothing here.
    Filler = "filler",
    /// A time before now: ago.
    Ago = "ago",
    /// Before a duration or a clock time: since.
    Since = "since",
    /// Stands before a clock time: at, by.
    Clock = "clock",
    /// A duration still to come: more, another.
    More = "more",
    /// Today.
    Today = "today",
    /// A moment ago, before what was done: just.
    Just = "just",
    /// Yesterday.
    Yesterday = "yesterday",
    /// Weekdays and months.
    Date = "date",
    /// am, pm, o'clock.
    AmPm = "am-pm",
    /// Between minutes and an hour they are before: quarter to seven.
    ToHour = "to-hour",
    /// Between minutes and an hour they are after: half past six.
    PastHour = "past-hour",
    /// Beside gallons, the larger ones: imperial.
    Imperial = "imperial",
    /// Times a thousand.
    Thousand = "thousand",
    /// Times a hundred.
    Hundred = "hundred",
    /// Before a decade, its first third: "low 20s".
    DecadeLow = "decade-low",
    /// Before a decade, its middle: "mid 20s".
    DecadeMid = "decade-mid",
    /// Before a decade, its last third: "upper teens".
    DecadeHigh = "decade-high",
    /// The decimal point, spoken.
    Point = "point",
    /// Before a number below zero: minus.
    Minus = "minus",
    /// After a number below zero: below zero.
    BelowZero = "below-zero",
    /// Degrees, without a scale.
    Degree = "degree",
    /// Pounds on a gauge.
    GaugePounds = "gauge-pounds",
    /// A number after this is no reading: phone, model, route.
    NoReading = "no-reading",
    /// A number before this is no reading: dollars, years old.
    NoReadingBefore = "no-reading-before",
    /// A question opener when it begins a clause: is, does, can.
    AskAux = "ask-aux",
    /// Yes.
    Yes = "yes",
    /// No, as an answer.
    No = "no",
    /// I don't know.
    DontKnow = "dont-know",
    /// Hello, thanks.
    Greeting = "greeting",
    /// A change of a value: up, rose by.
    Change = "change",
    /// Words after which "in" is inches: "2 in of ice".
    AfterInch = "after-inch",
    /// Moves a value: rose, fell, went.
    Moved = "moved",
    /// Before a number that is a change: up, down by.
    Delta = "delta",
    /// After a number that is a difference: over clean, colder.
    Than = "than",
    /// Ends a thing named by a noun before it: the leak is gone.
    Gone = "gone",
    /// Ends what the clause before told: but I fixed it, not any more.
    Ended = "ended",
    /// Before the thing of which the contrary holds: except, only.
    Except = "except",
    /// A thing joined to what was denied or said: neither, so (is the heater).
    Likewise = "likewise",
    /// After a clock time: the second half of the day.
    Evening = "evening",
    /// After a clock time: the first half of the day.
    Forenoon = "forenoon",
    /// Is, was, got: what follows is said of the thing before.
    Copula = "copula",
    /// Judges how warm something is, before the number that says so: cold, chilly.
    Warmth = "warmth",
    /// To keep a pool going through the winter.
    StayOpen = "stay-open",
    /// To close a pool for the winter.
    CloseUp = "close-up",
    /// Asks what is better: worth it, better off.
    Worth = "worth",
    /// Behind a product, what is there of it: left.
    Stock = "stock",
    /// Ordinary words that say nothing to us.
    Common = "common",
}

impl Role {
    /// The role of a name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, known)| *known == name).map(|(role, _)| *role)
    }
}
