//! What can be wrong with how settings follow each other.

use crate::finding::{Code, Severity};

const fn code(name: &'static str, severity: Severity, page: &'static str) -> Code {
    Code { name, severity, since: "0.1.0", page }
}

pub static NO_START: Code = code(
    "change/no-start",
    Severity::Error,
    "A relative change of a setting that was never written.\n\n\
     *2 clicks in* from nowhere is nowhere.\n\n````\n```change\nfork.rebound = \"2 clicks in\"\n```\n````\n\n\
     Better: write the setting once, in the machine's or the rider's `settings`, or here as it now is.\n",
);
pub static WRONG_WAY: Code = code(
    "change/wrong-way",
    Severity::Error,
    "A direction that the setting does not have.\n\n\
     Clickers and collars go in and out, tubes and seats go up and down, pressures go plus and minus.\n\n\
     ````\n```change\nfork.height = \"2 mm in\"\n```\n````\n\nBetter: `fork.height = \"2 mm down\"`.\n",
);
pub static WRONG_COUNT: Code = code(
    "change/wrong-count",
    Severity::Error,
    "A change in clicks of a setting that is kept in turns, or the other way round.\n\n\
     Without knowing how many clicks make a turn one cannot be added to the other.\n\n\
     Better: write it in the unit that the setting was written in.\n",
);
pub static BELOW_CLOSED: Code = code(
    "change/below-nothing",
    Severity::Error,
    "A relative change that goes past closed, or below nothing.\n\n\
     Clicks and turns count out from closed: from 3 out, 4 in cannot be.\n\n\
     Better: count again from closed and write the setting as it is.\n",
);
pub static NO_PITCH: Code = code(
    "change/no-thread-pitch",
    Severity::Error,
    "A preload in turns on a machine that does not tell its collar's thread pitch.\n\n\
     Better: add `thread_pitch = \"1.5 mm\"` (what yours has) to the machine's `shock` block, or write the preload as \
     a length.\n",
);
pub static NOTHING_TO_UNDO: Code = code(
    "change/nothing-to-undo",
    Severity::Error,
    "`back = true` where there is no change left to undo.\n\nBetter: write the setting as it now is.\n",
);
pub static UNKNOWN_PLAN: Code = code(
    "change/unknown-plan",
    Severity::Error,
    "`use` of a plan that nobody wrote.\n\nA plan is a `settings NAME` block of the machine, the rider or an earlier \
     place of the day.\n\nBetter: take the name that the help offers, or write the plan.\n",
);
pub static NO_REASON: Code = code(
    "change/no-reason",
    Severity::Warning,
    "A change that does not say why.\n\nNext year the number says what was done; only the reason says whether to do it \
     again.\n\n````\n```change\nfork.height = \"2 mm down\"\n```\n````\n\nBetter: add `because = \"headshake on the straight\"`.\n",
);
pub static MACHINE_OWNED: Code = code(
    "settings/machine-owned",
    Severity::Warning,
    "A rider's settings name something that stays on the machine, whoever rides.\n\n\
     A sprocket or a jet does not change with the rider; the line is not used.\n\n\
     Better: write it in the machine's `settings`, or in the day on which it was changed.\n",
);

/// All of this room's codes.
pub static CODES: &[&Code] = &[
    &NO_START,
    &WRONG_WAY,
    &WRONG_COUNT,
    &BELOW_CLOSED,
    &NO_PITCH,
    &NOTHING_TO_UNDO,
    &UNKNOWN_PLAN,
    &NO_REASON,
    &MACHINE_OWNED,
];
