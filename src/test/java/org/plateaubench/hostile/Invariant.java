package org.plateaubench.hostile;

import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import java.util.function.Consumer;

/** What must hold in every night, whatever goes wrong. Judged by the truth, not by what the program believes. */
enum Invariant {
    // The bench.
    HEAT_NEEDS_FLOW("heat is never on for longer than stated while the pump or all fans stand", SafetyChecks::flow),
    LIMITS_HOLD("nothing is beyond a limit under heat for longer than the guard may take", SafetyChecks::limits),
    LOST_MEANS_OFF("heat goes off as soon as a needed device is lost or is another one", SafetyChecks::lost),
    UNREAD_MEANS_END("what has a limit is never unread for longer than stated under heat", SafetyChecks::unread),
    FROZEN_MEANS_END("heat does not go on by a coolant sensor that does not move", SafetyChecks::frozen),
    STALL_MEANS_END("a run does not go on with a fan that stands although it is driven", SafetyChecks::stalls),
    RESETS_MEAN_END("a run does not go on with outputs that fall back again and again", SafetyChecks::resets),
    OFF_MEANS_OFF("heat that was switched off goes off", CommandChecks::off),
    REFUSED_IS_KNOWN("heat that could not be switched on is not taken for heat", CommandChecks::refused),
    BACK_MEANS_SET(
            "heat goes off when a device is lost or was reset, and its outputs are set again", CommandChecks::setAgain),
    ENDS_WHEN_ASKED(
            "a run ends at once when it is asked to, or when its record cannot be written", SafetyChecks::asked),
    ENDS("every run ends", SafetyChecks::ends),
    OFF_AFTER_END("heat is never on after the end", SafetyChecks::offAfterEnd),
    SAFE_AFTER_END("fans and pump are at their safe duty after the end", SafetyChecks::safeAfterEnd),
    NEVER_THROWS("the program never fails by itself", SafetyChecks::thrown),

    // The record.
    RECORD_WHOLE("samples and journal are whole and agree with each other", RecordChecks::whole),
    RETRACED("the record gives the same decisions again", RecordChecks::retraced),

    // The results.
    PASSES_COUNTED("no result without its passes, no pass without a result", ResultChecks::counted),
    EXIT_TELLS("the run's end says what became of its passes", ResultChecks::exit),
    PASS_HEATED("a pass that counts was under heat all the time", ResultChecks::heated),
    PASS_PUMPED("a pass that counts had its pump at its speed", ResultChecks::pumped),
    PASS_DRIVEN("a pass that counts had its fans at the duty that was frozen", ResultChecks::driven),
    PASS_SEEN("a pass that counts was seen all the time", ResultChecks::seen),
    PASS_CALM("a pass that counts had no step of the room's air", ResultChecks::calm),
    PASS_KEPT_TIME("a pass that counts kept its time", ResultChecks::time),
    PASS_HELD_CONDITIONS("a pass that counts held the plan's conditions", ResultChecks::conditions),
    SETTLED_IS_SETTLED("nothing is marked settled that is not", ResultChecks::settled),
    NUMBERS_ARE_RIGHT("no result is wrong by a faulty reading", ResultChecks::numbers);

    /** Looks for breaches. */
    interface Check {
        void check(Story story, Consumer<String> breach) throws IOException;
    }

    private final String text;
    private final Check check;

    Invariant(String text, Check check) {
        this.text = text;
        this.check = check;
    }

    /** {@return what must hold} */
    String text() {
        return text;
    }

    /** {@return all breaches of a night, by invariant; the first of each} */
    static List<Breach> breaches(Story story) {
        List<Breach> breaches = new ArrayList<>();
        for (Invariant invariant : values()) {
            List<String> found = new ArrayList<>();
            try {
                invariant.check.check(story, found::add);
            } catch (IOException | RuntimeException e) {
                found.add("cannot be judged: " + e);
            }
            if (!found.isEmpty()) {
                breaches.add(new Breach(invariant.name(), invariant.text, found.get(0)));
            }
        }
        return breaches;
    }
}
