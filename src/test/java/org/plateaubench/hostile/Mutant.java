package org.plateaubench.hostile;

import java.util.List;
import java.util.Optional;

/**
 * A protective rule switched off: a piece of the program's source and what stands in its place. The harness does this to
 * a copy of a class in memory; the program has no switch for it.
 *
 * @param rule the rule, in a few words
 * @param file the source file, below the package org.plateaubench
 * @param before a piece of its text that stands there exactly once
 * @param after what stands there instead
 * @param cover a rule that covers this one a little later, and is switched off with it: in another class
 */
record Mutant(String rule, String file, String before, String after, Optional<Mutant> cover) {

    private static final String GUARD = "engine/Guard.java";
    private static final String WATCH = "engine/ThermometerWatch.java";
    private static final String SAFE = "bench/SafeState.java";

    /** Covers other rules. */
    private static final Mutant COLD = new Mutant(
            "a pass without heat does not count",
            "engine/ThermalScript.java",
            " || cold(dwell.meanRiseKelvin(), course)",
            "");

    private Mutant(String rule, String file, String before, String after) {
        this(rule, file, before, after, Optional.empty());
    }

    static List<Mutant> all() {
        return List.of(
                // What people and the system ask for.
                new Mutant(
                        "an operator ends the run",
                        GUARD,
                        "course.end(Exit.ENDED_EARLY, \"ended by \" + operator.by(), false);",
                        ""),
                new Mutant(
                        "a signal ends the run",
                        GUARD,
                        "course.end(Exit.ENDED_EARLY, \"signal \" + signal.name(), false);",
                        ""),
                new Mutant("a closed terminal does not", GUARD, "if (!signal.name().equals(\"HUP\"))", "if (true)"),
                new Mutant(
                        "storage that fails ends the run",
                        GUARD,
                        "course.end(Exit.ENDED_EARLY, \"the record cannot be written: \" + fault.detail(), false);",
                        ""),
                new Mutant("a clock event in the dwell spoils", GUARD, "if (dwelling) {", "if (false) {"),

                // The load.
                new Mutant(
                        "a failed workload spoils", GUARD, "course.spoil(\"workload failed: \" + news.detail());", ""),
                new Mutant(
                        "heat that did not come on spoils",
                        GUARD,
                        "course.spoil(\"heat could not be switched on: \" + result.detail());",
                        ""),
                new Mutant(
                        "heat that did not go off is switched off again",
                        GUARD,
                        "result.detail(), false);\n            } else {\n                heatOffAgain(course);\n            }",
                        "result.detail(), false);\n            }"),
                new Mutant(
                        "heat that cannot be switched off ends the run",
                        GUARD,
                        "++heatOffFailures >= MOST_HEAT_OFF_FAILURES",
                        "false"),
                new Mutant(
                        "heat off is made up for when the supply is back",
                        GUARD,
                        "heatOffOwed = false;\n                    heatOffAgain(course);",
                        "heatOffOwed = false;"),
                new Mutant("the supply is read back", GUARD, "supply(course, now);", ""),
                new Mutant("heat flow that goes away spoils", GUARD, "heatFlow(course, now);", ""),
                COLD,
                new Mutant(
                        "heat that a cut-off may have taken spoils",
                        GUARD,
                        "event.seconds() > unseenCutoffSeconds - SILENCE_MARGIN_SECONDS",
                        "false",
                        Optional.of(COLD)),

                // Devices.
                new Mutant(
                        "heat goes off when a device is gone",
                        GUARD,
                        "course.heatOff();\n                course.spoil(\"device \" + news.device() + \" gone\");",
                        "course.spoil(\"device \" + news.device() + \" gone\");"),
                new Mutant(
                        "a device that is gone spoils",
                        GUARD,
                        "course.spoil(\"device \" + news.device() + \" gone\");",
                        ""),
                new Mutant("a device that does not come back ends the run", GUARD, "        gone(course);\n", ""),
                new Mutant(
                        "a device that came back is set anew",
                        GUARD,
                        "resetHappened(course, \"device \" + news.device() + \" came back\");",
                        ""),
                new Mutant(
                        "a device that was started again is set anew",
                        GUARD,
                        "case RESTARTED -> resetHappened(course, \"device \" + news.device() + \" \" + news.detail());",
                        "case RESTARTED -> { }"),
                new Mutant(
                        "another device in its place stops the run",
                        GUARD,
                        "case OTHER_IDENTITY -> {",
                        "case OTHER_IDENTITY -> { if (true) { return; }"),
                new Mutant(
                        "nothing goes on while a device is gone or a channel unread",
                        GUARD,
                        "return !goneSinceSeconds.isEmpty() || blindTo != null;",
                        "return false;"),

                // Outputs.
                new Mutant(
                        "a duty that was not set counts as a reset",
                        GUARD,
                        "} else if (!result.done() && goneSinceSeconds.isEmpty()) {",
                        "} else if (false) {"),
                new Mutant(
                        "heat goes off after a reset",
                        GUARD,
                        "course.heatOff();\n        course.spoil(what);",
                        "course.spoil(what);"),
                new Mutant("a reset spoils", GUARD, "course.spoil(what);", ""),
                new Mutant(
                        "outputs are set again after a reset",
                        GUARD,
                        "course.spoil(what);\n        relock = true;",
                        "course.spoil(what);"),
                new Mutant(
                        "the third reset within an hour ends the run",
                        GUARD,
                        "if (resetSeconds.size() >= MOST_RESETS) {",
                        "if (false) {"),
                new Mutant(
                        "the fans' duty is read back",
                        GUARD,
                        "readback(course, fanDutyColumn, course.fanDutyPercent, BenchFile.FAN_DUTY);",
                        ""),
                new Mutant(
                        "the pump's duty is read back",
                        GUARD,
                        "readback(course, pumpDutyColumn, course.pumpDutyPercent, BenchFile.PUMP_DUTY);",
                        ""),
                new Mutant("fans that leave their speed spoil", GUARD, "fansAstray(course, now, loaded);", ""),
                new Mutant(
                        "a frozen duty is set again where it cannot be read back",
                        "engine/ApproachStage.java",
                        "course.setFans(course.fanDutyPercent);",
                        ""),
                new Mutant("a fan that stands ends the run", GUARD, "stalls(course, now, mayStand);", ""),
                new Mutant("a pump off its speed spoils", GUARD, "        pump(course, now);\n", ""),
                new Mutant(
                        "heat goes off while the pump is locked anew",
                        "engine/PumpLockStage.java",
                        "course.heatOff();",
                        ""),

                // Limits and readings.
                new Mutant("limits end the run", GUARD, "limits.forEach(l -> l.check(course));", ""),
                new Mutant(
                        "what has a limit must be read",
                        GUARD,
                        "} else if (course.heatOn && seconds - unreadSinceSeconds >= LIMIT_MISSING_SECONDS) {",
                        "} else if (false) {"),
                new Mutant("needed channels must be read", GUARD, "missing(course, now, mayStand);", ""),
                new Mutant(
                        "an unread channel spoils",
                        GUARD,
                        "course.spoil(\"no good reading of \" + channel + \" for \" + Decimals.shortest(limitSeconds, 1) + \" s\");",
                        ""),
                new Mutant(
                        "heat goes off while a needed channel is unread",
                        GUARD,
                        "if (missingSeconds >= OTHERS_MISSING_SECONDS) {",
                        "if (false) {"),
                new Mutant(
                        "a channel that stays unread ends the run",
                        GUARD,
                        "if (missingSeconds >= GONE_SECONDS) {",
                        "if (false) {"),
                new Mutant(
                        "coolant that does not answer to the heat ends the run",
                        WATCH,
                        "course.end(Exit.BENCH_FAULT, why, false);",
                        ""),
                new Mutant(
                        "what such a sensor measured does not count",
                        WATCH,
                        "course.distrust(sameSinceSeconds, why);",
                        ""),
                new Mutant(
                        "coolant that does not get warm when the heat comes back spoils",
                        WATCH,
                        "awaited = fromRest || course.heatOn;",
                        "awaited = fromRest;",
                        Optional.of(COLD)),
                new Mutant(
                        "nothing settles before the coolant has felt the heat",
                        "engine/SoakStage.java",
                        "verdict.settled() && !course.heatUnfelt",
                        "verdict.settled()",
                        Optional.of(COLD)),
                new Mutant(
                        "a sensor that thaws was frozen",
                        WATCH,
                        "if (lastSeconds - sameSinceSeconds >= STILL_SECONDS",
                        "if (false"),
                new Mutant("a thermometer that leaps spoils", WATCH, "leap > LEAP_KELVIN + own", "false"),
                new Mutant(
                        "a channel may not read the same for long", GUARD, "frozen.forEach(f -> f.check(course));", ""),
                new Mutant("a step of the room's air spoils", GUARD, "ambientStep(course, now);", ""),
                new Mutant("conditions must hold", GUARD, "conditions.forEach(c -> c.check(course));", ""),
                new Mutant(
                        "what must stay unchanged stays so",
                        GUARD,
                        "} else if (value != atBegin) {",
                        "} else if (false) {"),
                new Mutant(
                        "a rise that does not stay settled spoils",
                        "engine/DwellStage.java",
                        "if (over && course.settledBy != null && course.settledBy.unsettled()) {",
                        "if (false) {"),
                new Mutant(
                        "missed ticks spoil",
                        "engine/Course.java",
                        "return share > MOST_MISSED;",
                        "spoiling = null;\n        return false;"),
                new Mutant(
                        "a pass is begun three times at most",
                        "engine/Pass.java",
                        "boolean again = attempt < MOST_ATTEMPTS;",
                        "boolean again = true;"),
                new Mutant(
                        "no thermometer reads beyond any thermometer",
                        "benchfile/ChannelSpec.java",
                        "unit == Unit.CELSIUS ? Optional.of(ANY_THERMOMETER) : Optional.empty()",
                        "Optional.empty()"),
                new Mutant(
                        "no tachometer reads beyond any rotor",
                        "benchfile/ChannelSpec.java",
                        "Optional.of(ANY_ROTOR)",
                        "Optional.<Range>empty()"),
                new Mutant("leaps of thermometers are marked", "bench/DeviceBench.java", "leaps.mark(readings);", ""),
                new Mutant(
                        "a cut-off hears the program",
                        "bench/serial/SerialDevice.java",
                        "outOfStep = answers.isEmpty() || ",
                        "outOfStep = "),

                // A night that goes on.
                new Mutant(
                        "a pass that was cut off does not count",
                        GUARD,
                        "course.spoil(\"resumed after a gap of \" + Decimals.fixed(resume.gapSeconds(), 0) + \" s\");",
                        ""),
                new Mutant(
                        "the pump is locked anew after a gap",
                        GUARD,
                        "+ Decimals.fixed(resume.gapSeconds(), 0) + \" s\");\n        relock = true;",
                        "+ Decimals.fixed(resume.gapSeconds(), 0) + \" s\");"),
                new Mutant(
                        "the bench is made safe before the night goes on",
                        "night/Resumption.java",
                        "SetResult heat = bench.heatOff();",
                        "SetResult heat = new SetResult(\"heat\", \"off\", true, \"\", \"\");"),

                // Making safe.
                new Mutant("the load goes off", SAFE, "results.add(loadOff.get());", ""),
                new Mutant(
                        "fans and pump go to their safe duty",
                        SAFE,
                        "actuators.forEach(actuator -> results.add(actuate.apply(actuator)));",
                        ""),
                new Mutant("a leak stops the pump", SAFE, "pumpOff = true;", ""),
                new Mutant(
                        "a duty is refused afterwards",
                        SAFE,
                        "return !entered || percent == percent(actuator);",
                        "return true;"),
                new Mutant(
                        "heat is refused afterwards",
                        "bench/DeviceBench.java",
                        "if (!safeState.entered()) {\n            SetResult result = load.on(demand);\n            if (!safeState.entered()) {",
                        "if (true) {\n            SetResult result = load.on(demand);\n            if (true) {"),
                new Mutant(
                        "the end makes the bench safe",
                        "night/Night.java",
                        "List<SetResult> results = bench.makeSafe(end.pumpOff());",
                        "List<SetResult> results = List.of();"),
                new Mutant("it is tried again", "night/Night.java", "attempt <= MOST_SAFE_ATTEMPTS", "attempt <= 1"));
    }
}
