package org.plateaubench.watch;

import java.util.Map;
import org.plateaubench.units.Durations;

/** What an operator wants to know of a journal line. */
public final class Happening {

    private Happening() {}

    /**
     * A journal line in words.
     *
     * @param f fields of the line
     * @return one line; empty for what is not worth one
     */
    public static String text(Map<String, Object> f) {
        if (f.containsKey("input")) {
            return input(f);
        }
        if (f.containsKey("safe")) {
            return "made safe: " + f.get("target") + " " + f.get("asked")
                    + (done(f) ? "" : " FAILED, " + f.get("detail"));
        }
        return f.containsKey("decision") ? decision(f) : "";
    }

    private static String input(Map<String, Object> f) {
        return switch (f.get("input").toString()) {
            case "device" -> "device " + f.get("device") + ": " + f.get("event") + " " + f.get("detail");
            case "signal" -> "signal " + f.get("name");
            case "operator" -> "asked to end by " + f.get("by");
            case "resume" -> "resumed after a gap of " + f.get("gap-seconds") + " s";
            case "clock" -> "clock " + f.get("event") + " of " + f.get("seconds") + " s";
            case "storage" -> "the record cannot be written: " + f.get("detail");
            case "load" -> f.get("event").equals("failed") ? "workload failed: " + f.get("detail") : "";
            case "command-result" ->
                done(f) ? "" : f.get("target") + " not set to " + f.get("asked") + ": " + f.get("detail");
            default -> "";
        };
    }

    private static String decision(Map<String, Object> f) {
        return switch (f.get("decision").toString()) {
            case "stage" -> "stage " + f.get("stage") + (f.get("pass").equals("") ? "" : ", pass " + f.get("pass"));
            case "pump-locked" -> "pump locked at " + f.get("rpm") + " rpm, " + f.get("duty") + " % duty";
            case "baseline" -> "rise without load " + f.get("rise") + " K (" + f.get("at") + ")";
            case "settled" ->
                f.get("stage") + " settled after " + after(f) + ", slope " + f.get("slope") + " ± " + f.get("margin")
                        + " K/h";
            case "not-settled" -> f.get("stage") + " not settled after " + after(f) + "; goes on, marked";
            case "pass-done" ->
                "pass " + f.get("pass") + " done: " + f.get("step")
                        + (f.containsKey("rise") ? ", rise " + f.get("rise") + " K" : "");
            case "fan-set" ->
                Boolean.TRUE.equals(f.get("characterised")) ? "fans characterised" : "fans NOT characterised";
            case "bracket" ->
                f.get("rpm") + " rpm: total " + f.get("total") + " dB over background " + f.get("background")
                        + " dB, own level " + f.get("own-level") + " dB (" + f.get("class") + ")";
            case "matched" -> f.get("step") + " is " + f.get("speed") + " rpm, ±" + f.get("half-width") + " %";
            case "finding" -> "finding: " + (f.get("about").equals("") ? "" : f.get("about") + " ") + f.get("text");
            case "pass-spoiled" -> "pass " + f.get("pass") + " spoiled: " + f.get("reason");
            case "pass-given-up" -> "pass " + f.get("pass") + " given up after the third attempt";
            case "block-not-begun" -> "block " + f.get("block") + " not begun: it would not end before finish-by";
            case "reset" -> "outputs set again: " + f.get("reason");
            case "end" -> f.get("how") + ": " + f.get("reason");
            default -> "";
        };
    }

    static boolean done(Map<String, Object> f) {
        return Boolean.TRUE.equals(f.get("done"));
    }

    private static String after(Map<String, Object> f) {
        return Durations.text(((Number) f.get("after-seconds")).doubleValue());
    }
}
