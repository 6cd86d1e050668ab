//! Everything a key can ask for.

/// What a key asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Action {
    /// One row up.
    Up,
    /// One row down.
    Down,
    /// One page up.
    PageUp,
    /// One page down.
    PageDown,
    /// To the first row.
    First,
    /// To the last row.
    Last,
    /// To the next row that somebody must do something about.
    NextToMend,
    /// To the one before.
    PreviousToMend,
    /// The next order of rows; also puts new rows in their place.
    Sort,
    /// Begin to type a filter.
    Filter,
    /// Show every row again.
    ClearFilter,
    /// Keep the filter as typed.
    KeepFilter,
    /// Take back the last letter.
    Backspace,
    /// Go with the newest export, or stay.
    Follow,
    /// Details further down.
    DetailDown,
    /// Details further up.
    DetailUp,
    /// Which print sizes the picture carries, in place of the details, or back.
    Sizes,
    /// The picture over the whole window, or back.
    Larger,
    /// The next way of looking at the picture.
    NextView,
    /// The one before.
    PreviousView,
    /// Draw the box of the subject.
    DrawBox,
    /// In the box: the next edge.
    NextEdge,
    /// The one before.
    PreviousEdge,
    /// The chosen edge, or the box, to the left.
    EdgeLeft,
    /// To the right.
    EdgeRight,
    /// Upwards.
    EdgeUp,
    /// Downwards.
    EdgeDown,
    /// Finer steps, or whole cells again.
    Finer,
    /// For the selected row's print alone, or for every print.
    PrintAlone,
    /// Keep the box.
    KeepBox,
    /// Remove the box.
    RemoveBox,
    /// Put the chosen edge where the typed value says.
    PutEdge,
    /// Leave the typed value.
    ForgetValue,
    /// Accept a finding of the row, or take one back.
    Accept,
    /// There: accept the finding.
    AcceptIt,
    /// There: take it back.
    TakeBack,
    /// There: the next ready reason.
    NextReason,
    /// Accept again what is asked again, as before.
    AsBefore,
    /// Mark the row, or not any more.
    Mark,
    /// Hand the order over.
    HandOver,
    /// There: lay it.
    LayIt,
    /// There: of this row alone, or of every row that is marked or shown.
    EveryRow,
    /// Look at the folder now.
    Rescan,
    /// Show the help, or close it.
    Help,
    /// Close what lies on top.
    Close,
    /// Stop and hand the terminal back until continued.
    Suspend,
    /// End.
    Quit,
}
