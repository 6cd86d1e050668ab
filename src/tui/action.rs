//! The actions of keys: one enum for each mode of the screen, and one for actions that every mode passes on.
//!
//! The variants for the table and the screen are also the names by which a person chooses other keys.

/// A key's action, by the mode it belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Action {
    /// For the screen as a whole.
    Screen(ScreenAction),
    /// For the table and its panes.
    Table(TableAction),
    /// For the line in which a filter is typed.
    Filter(FilterAction),
    /// For the help.
    Help(HelpAction),
    /// For the picture over the whole window.
    Large(LargeAction),
    /// For the view in which the subject's box is drawn.
    Subject(SubjectAction),
    /// For the pane in which a finding is accepted.
    Accept(AcceptAction),
    /// For the pane in which the order is delivered.
    Delivery(DeliveryAction),
}

/// Actions that every mode passes on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ScreenAction {
    /// Show the help, or close it.
    Help,
    /// Give the terminal back and stop until continued.
    Suspend,
    /// End the program.
    Quit,
}

/// Which neighbour of the chosen thing is chosen next, in turn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    /// The one after it.
    Next,
    /// The one before it.
    Previous,
}

/// Actions of the table.
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
    /// To the next row that needs action.
    NextToFix,
    /// To the previous such row.
    PreviousToFix,
    /// The next order of rows; also sorts new rows in.
    Sort,
    /// Begin to type a filter.
    Filter,
    /// Show every row again; if every row is shown, remove the marks.
    ClearFilter,
    /// Follow the newest export, or stop following.
    Follow,
    /// Details further down.
    DetailDown,
    /// Details further up.
    DetailUp,
    /// Show the print sizes that the picture allows in place of the details, or back.
    Sizes,
    /// Show what to do about the order by cause in place of the details, or back.
    ToDo,
    /// Copy what to export for the row: the size, then the file name, then all settings.
    Copy,
    /// Show the picture over the whole window, or go back.
    Larger,
    /// The next view of the picture.
    NextView,
    /// The previous view.
    PreviousView,
    /// Draw the box of the subject.
    DrawBox,
    /// Accept a finding of the row, or withdraw an acceptance.
    Accept,
    /// Accept again, as before, a finding that needs it again.
    AsBefore,
    /// Mark or unmark the row.
    Mark,
    /// Deliver the order.
    Deliver,
    /// Read the folder now.
    Rescan,
}

/// Actions of the filter's line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum FilterAction {
    /// Keep the filter as typed.
    Keep,
    /// Show every row again.
    Clear,
    /// Delete the last letter.
    Backspace,
}

/// Actions of the help.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum HelpAction {
    /// Close the help.
    Close,
    /// One line further down.
    Down,
    /// One line further up.
    Up,
    /// One page further down.
    PageDown,
    /// One page further up.
    PageUp,
}

/// Actions of the picture over the whole window.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LargeAction {
    /// Close the picture.
    Close,
}

/// Actions of the view in which the subject's box is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SubjectAction {
    /// Choose the next edge.
    NextEdge,
    /// Choose the previous edge.
    PreviousEdge,
    /// Move the chosen edge, or the box, to the left.
    EdgeLeft,
    /// Move it to the right.
    EdgeRight,
    /// Move it upwards.
    EdgeUp,
    /// Move it downwards.
    EdgeDown,
    /// Finer steps, or whole cells again.
    Finer,
    /// Use the box for the selected row's print alone, or for every print.
    ThisPrint,
    /// Keep the box.
    KeepBox,
    /// Remove the box.
    RemoveBox,
    /// Put the chosen edge at the typed value.
    PutEdge,
    /// Forget the typed value.
    ForgetValue,
    /// Delete the last letter of the value.
    Backspace,
    /// Close without changing anything.
    Close,
}

/// Actions of the pane in which a finding is accepted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum AcceptAction {
    /// Accept the chosen finding.
    Accept,
    /// Withdraw an acceptance.
    Withdraw,
    /// The next suggested reason.
    NextReason,
    /// Apply to this row alone, or to every marked or shown row.
    EveryRow,
    /// Name the finding on the printer's note, or not.
    OnNote,
    /// One finding up.
    Up,
    /// One finding down.
    Down,
    /// Delete the last letter.
    Backspace,
    /// Leave the last field, or close the pane.
    Close,
}

/// Actions of the pane in which the order is delivered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DeliveryAction {
    /// Deliver into the folder as typed.
    Deliver,
    /// Choose between everything and only what changed.
    NextOffer,
    /// Delete the last letter of the folder's name.
    Backspace,
    /// Stop the delivery under way.
    Stop,
    /// Close the pane.
    Close,
}
