//! What keys ask for: one enum for each mode of the screen, and one for what every mode passes on.
//!
//! The names of those of the table and of the screen are the names by which a person chooses other keys.

/// What a key asks for, of the mode whose it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Action {
    /// Of the screen as a whole.
    Screen(ScreenAction),
    /// Of the table and its panes.
    Table(TableAction),
    /// Of the line in which a filter is typed.
    Filter(FilterAction),
    /// Of the help.
    Help(HelpAction),
    /// Of the picture over the whole window.
    Large(LargeAction),
    /// Of the view in which the subject's box is drawn.
    Subject(SubjectAction),
    /// Of the pane in which a finding is accepted.
    Accept(AcceptAction),
    /// Of the pane in which the order is delivered.
    Delivery(DeliveryAction),
}

/// What every mode passes on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ScreenAction {
    /// Show the help, or close it.
    Help,
    /// Give the terminal back and stop until continued.
    Suspend,
    /// End.
    Quit,
}

/// What the table does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TableAction {
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
    /// Show every row again; where every row is shown, take the marks away.
    ClearFilter,
    /// Follow the newest export, or stay.
    Follow,
    /// Details further down.
    DetailDown,
    /// Details further up.
    DetailUp,
    /// Which print sizes the picture carries, in place of the details, or back.
    Sizes,
    /// The picture over the whole window, or back.
    Larger,
    /// The next view of the picture.
    NextView,
    /// The one before.
    PreviousView,
    /// Draw the box of the subject.
    DrawBox,
    /// Accept a finding of the row, or take one back.
    Accept,
    /// Accept again, as before, what is asked again.
    AsBefore,
    /// Mark the row, or not any more.
    Mark,
    /// Deliver the order.
    HandOver,
    /// Read the folder now.
    Rescan,
}

/// What the line of the filter does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum FilterAction {
    /// Keep the filter as typed.
    Keep,
    /// Show every row again.
    Clear,
    /// Take back the last letter.
    Backspace,
}

/// What the help does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum HelpAction {
    /// Close it.
    Close,
}

/// What the picture over the whole window does by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LargeAction {
    /// Close it.
    Close,
}

/// What the view does in which the subject's box is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SubjectAction {
    /// Choose the next edge.
    NextEdge,
    /// The one before.
    PreviousEdge,
    /// Move the chosen edge, or the box, to the left.
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
    /// Forget the typed value.
    ForgetValue,
    /// Take back the last letter of the value.
    Backspace,
    /// Close, and change nothing.
    Close,
}

/// What the pane does in which a finding is accepted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum AcceptAction {
    /// Accept the chosen finding.
    Accept,
    /// Take back that it was accepted.
    TakeBack,
    /// The next ready reason.
    NextReason,
    /// Of this row alone, or of every row that is marked or shown.
    EveryRow,
    /// One finding up.
    Up,
    /// One finding down.
    Down,
    /// Take back the last letter.
    Backspace,
    /// Leave the last field, or close the pane.
    Close,
}

/// What the pane does in which the order is delivered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DeliveryAction {
    /// Deliver into the folder as typed.
    Deliver,
    /// Take back the last letter of the folder's name.
    Backspace,
    /// Close the pane.
    Close,
}
