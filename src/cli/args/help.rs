//! The words around the options in the help of the whole program.

/// The help, short and long: the commands in the order of the work. The short one fits a screen of 24 lines.
pub const TEMPLATE: &str = "\
{about}

{usage-heading} {usage}

Begin       demo         look around in an invented order
Brief       brief        new, show, ask, answer: write, read, ask, note answers
Shoot       guide        frames to overlay on the camera's picture: trim, folds
            calibrated   record the day your screen was calibrated
Export      spec         list what to export for each print
            check        check once and list what to fix
            watch        write one line for each change
            subject      draw the box that trimming and cropping must not touch
            look, sizes  show a picture and its facts; list its print sizes
            accept       accept a finding that is intended
            contact      write a contact sheet for the client or the designer
Test print  testprint    choose pictures for a test print and write the sheets
Deliver     deliver      write pictures, checksums and a note for the printer
After       verify       prove that a delivery arrived unchanged
Reference   explain      rules, keys, states, terms; completions, man: shell

{options}{after-help}";

/// The end of the long help: the words that the program uses, and its exit status.
pub const AFTER: &str = "\
States of a row
  PASS      nothing to fix
  WARN      a rule at level should fails: fix it, or accept it if intended
  FIX       a rule at level must fails: do not send the picture like this
  MISSING   a print has no picture yet
  EXTRA     no print takes the picture
  ARRIVING  the file is still growing
  CHECKING  the picture has not been read yet

Levels of a rule, which the brief may change under [rules]
  must      a failure makes the row FIX
  should    a failure makes the row WARN
  note      a failure is shown and changes no state
  off       not checked

Marks beside a number
  214!      fails a must
  271~      fails a should

Not checked: the picture or the brief does not give what the rule needs. The reason is shown, and the state stays \
as it is. Within tolerance: passed, since the difference is too small to matter.

Exit status of check, watch, deliver, verify and the live table
  0         nothing to fix; --strict also counts WARN, --complete MISSING
  1         something to fix
  2         it could not be done

To read more: plateside explain lists every page, plateside explain FIX explains a word, and plateside COMMAND --help \
lists every option of a command. plateside only reads your pictures and never changes one. NO_COLOR is honoured.";
