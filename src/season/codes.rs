//! What can be wrong with how settings follow each other.

use crate::finding::{Code, Severity};

use super::judged;

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
    "A preload in turns on a machine whose notebook does not give its collar's thread pitch.\n\n\
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
    "`use` of a plan that is not there.\n\nA plan is a `settings NAME` block of the machine, the rider or an earlier \
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

pub static IMPLAUSIBLE: Code = code(
    "pressure/implausible",
    Severity::Error,
    "A pressure that was left below half or above twice its aim, or found above twice.\n\n\
     Most often the unit or a digit is wrong. The reading is not counted: no figure, page or advice rests on it.\n\n\
     ````\n```settings\ntyre.rear = \"12 psi\"\n```\n````\n\n````\n```pressures\ntyre.rear = \"12 bar\"\n```\n````\n\n\
     Better: mend the unit or the digits. Where it is right, write the new aim in a `change` above the reading.\n",
);
pub static HOT_OR_COLD: Code = code(
    "pressure/hot-or-cold",
    Severity::Warning,
    "A pressure that was read after a ride, in a block that does not say how warm the leg was.\n\n\
     A leg straight off the track shows more than it holds cold. Without its temperature the reading says nothing of \
     the gas inside: it is not counted, and no leak is judged by it.\n\n\
     Better: let the legs stand in the shade and write `at`; or write what the gauge showed straight off the track \
     under `after_ride`.\n",
);
pub static SET_ELSEWHERE: Code = code(
    "pressure/set-elsewhere",
    Severity::Error,
    "A value for a chamber that another fills.\n\n\
     A chamber with `charged_from` is filled through a port at full extension and has the pressure of the chamber that \
     fills it. A value of its own is not counted.\n\n\
     Better: write the pressure of the chamber that is filled by hand.\n",
);
pub static TOO_MUCH_KEPT: Code = code(
    "file/too-much-kept",
    Severity::Error,
    "A diary whose places have more settings and readings to keep than one may.\n\nEach block that changes something makes \
     a place where everything that holds can be asked for. Names of one's own, in `other.…` and `checked`, hold for good, \
     so that very many of them weigh on every later block. What stands behind the limit is read, and changes nothing.\n\n\
     Better: few names of one's own, and a book for each of several riders or years.\n",
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
    &IMPLAUSIBLE,
    &HOT_OR_COLD,
    &SET_ELSEWHERE,
    &judged::READING_ORDER,
    &judged::SAG_PAST_TRAVEL,
    &judged::WHEEL_LOADS,
    &TOO_MUCH_KEPT,
];
