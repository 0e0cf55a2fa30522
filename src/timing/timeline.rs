//! The timeline: what happens when, and what a person does in which order.

use super::Moment;
use crate::finding::Finding;
use crate::units::{Hours, Start};

/// What happens when: the events of one round, and the run of all rounds for one person.
#[derive(Debug, Clone, PartialEq)]
pub struct Timeline {
    /// When the release agent goes on.
    pub start: Start,
    /// When the shop is open.
    pub hours: Option<Hours>,
    /// What happens to the castings of the first round, in the order of the clock.
    pub events: Vec<Event>,
    /// From the start until the last of it is laid, with nobody waiting for the shop to open, min;
    /// `None` where times are missing.
    pub attended_minutes: Option<f64>,
    /// The latest minute of a day, after midnight, to start at so that all but demoulding is done
    /// within the hours of that day; `None` without hours, or where no day is long enough.
    pub latest_start_minute: Option<u16>,
    /// All rounds; only the first where nothing tells when it leaves the moulds.
    pub rounds: Vec<Round>,
    /// What one person does, in the order of the clock, in all rounds told.
    pub tasks: Vec<Task>,
    /// The last castings are out of their moulds; `None` where that can't be told.
    pub end: Option<Moment>,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

impl Timeline {
    /// The moment so many minutes after the start; `None` beyond the calendar.
    pub fn moment(&self, minutes: f64) -> Option<Moment> {
        Moment::begins(self.start, minutes).ok()
    }
}

/// One thing that happens.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// What.
    pub code: EventCode,
    /// To which pour; `None` for the casting as a whole.
    pub pour: Option<String>,
    /// Which of the pour's batches, counted from 1.
    pub batch: Option<u32>,
    /// How many batches the pour has; 0 for the casting as a whole.
    pub batches: u32,
    /// When; of a window, when it opens. `None`: as the data sheet says.
    pub at: Option<Moment>,
    /// When a window closes. `None`: as the data sheet says, or for anything but a window.
    pub until: Option<Moment>,
    /// Whether a window or a "by" is kept; `None` for anything else, or where that can't be told.
    pub kept: Option<bool>,
}

/// What happens.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EventCode {
    /// The release agent goes on.
    ReleaseOn,
    /// It is dry.
    ReleaseDry,
    /// The next coat bonds to the one before.
    CoatWindow,
    /// The core bonds to the skin.
    CoreWindow,
    /// The cap bonds to the core and to the skin's edge.
    CapWindow,
    /// Whether what lies there has gelled: for a coat on the patch on the flange.
    GelCheck,
    /// Mixing begins, and with it the working time.
    Mixing,
    /// Brushing begins.
    Brush,
    /// Pouring begins.
    Pour,
    /// The last moment for brushing.
    BrushBy,
    /// The last moment for pouring.
    PourBy,
    /// The vented lid goes on over a foam.
    CloseLid,
    /// The castings may leave their moulds.
    Demould,
    /// They leave them when the shop opens.
    DemouldAtOpening,
    /// Everything has its final hardness.
    FullCure,
}

impl EventCode {
    /// The word used in JSON.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::ReleaseOn => "release-on",
            Self::ReleaseDry => "release-dry",
            Self::CoatWindow => "coat-window",
            Self::CoreWindow => "core-window",
            Self::CapWindow => "cap-window",
            Self::GelCheck => "gel-check",
            Self::Mixing => "mixing",
            Self::Brush => "brush",
            Self::Pour => "pour",
            Self::BrushBy => "brush-by",
            Self::PourBy => "pour-by",
            Self::CloseLid => "close-lid",
            Self::Demould => "demould",
            Self::DemouldAtOpening => "demould-at-opening",
            Self::FullCure => "full-cure",
        }
    }

    /// It has a beginning and an end between which a pour must be laid.
    pub const fn is_window(self) -> bool {
        matches!(self, Self::CoatWindow | Self::CoreWindow | Self::CapWindow)
    }
}

/// All moulds filled once.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Round {
    /// Counted from 1.
    pub number: u32,
    /// Castings made in it.
    pub castings: u32,
    /// The release agent goes on.
    pub start: Moment,
    /// The castings are taken out of their moulds; `None`: as the data sheet says.
    pub demould: Option<Moment>,
}

/// What a person does.
#[derive(Debug, Clone, PartialEq)]
pub struct Task {
    /// In which round, counted from 1.
    pub round: u32,
    /// What.
    pub code: TaskCode,
    /// At which pour.
    pub pour: Option<String>,
    /// From when.
    pub from: Moment,
    /// Until when; the same for what takes no time that is known.
    pub until: Moment,
}

/// What a person does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TaskCode {
    /// Puts the release agent on.
    Release,
    /// Checks the gel, then mixes and lays all batches of a pour.
    Lay,
    /// Takes the castings out.
    Demould,
}

impl TaskCode {
    /// The word used in JSON.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Release => "release",
            Self::Lay => "lay",
            Self::Demould => "demould",
        }
    }
}
