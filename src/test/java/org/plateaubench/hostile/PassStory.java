package org.plateaubench.hostile;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/** What the journal says of one attempt of a pass, read without any code of the program's results. */
final class PassStory {

    String name = "";
    String step = "";
    boolean thermal;
    boolean reference;
    boolean done;
    boolean spoiled;
    long begunTick = -1;
    long soakTick = -1;
    long settledTick = -1;
    boolean settled;
    boolean cycle;
    long fromTick = -1;
    long toTick = -1;
    double frozenPercent = Double.NaN;
    double riseKelvin = Double.NaN;

    /** {@return place in the plan, without the attempt} */
    String place() {
        return name.substring(0, name.indexOf('/'));
    }

    int attempt() {
        return Integer.parseInt(name.substring(name.indexOf('/') + 1));
    }

    /** {@return true if its numbers enter the results} */
    boolean counts() {
        return done && !spoiled;
    }

    static List<PassStory> of(List<Map<String, Object>> journal) {
        Map<String, PassStory> passes = new LinkedHashMap<>();
        for (Map<String, Object> line : journal) {
            String decision = String.valueOf(line.getOrDefault("decision", ""));
            String name = String.valueOf(line.getOrDefault("pass", ""));
            if (decision.equals("pass-begun")) {
                PassStory pass = new PassStory();
                pass.name = name;
                pass.step = String.valueOf(line.get("step"));
                pass.thermal = !line.containsKey("measurement");
                pass.reference = Boolean.TRUE.equals(line.get("reference"));
                pass.begunTick = whole(line, "tick");
                if (passes.put(name, pass) != null) {
                    throw new IllegalStateException("the pass " + name + " was begun twice");
                }
            } else if (passes.containsKey(name)) {
                passes.get(name).take(decision, line);
            }
        }
        return new ArrayList<>(passes.values());
    }

    private void take(String decision, Map<String, Object> line) {
        switch (decision) {
            case "stage" -> soakTick = line.get("stage").equals("soak") ? whole(line, "tick") : soakTick;
            case "heating-cycle" -> cycle = true;
            case "duty-frozen" -> frozenPercent = ((Number) line.get("duty")).doubleValue();
            case "settled", "not-settled" -> {
                settled = decision.equals("settled");
                settledTick = whole(line, "tick");
            }
            case "pass-done" -> {
                done = true;
                if (thermal) {
                    fromTick = whole(line, "from-tick");
                    toTick = whole(line, "to-tick");
                    riseKelvin = ((Number) line.get("rise")).doubleValue();
                }
            }
            case "pass-spoiled" -> spoiled = true;
            default -> {
                // other decisions say nothing of a pass
            }
        }
    }

    private static long whole(Map<String, Object> line, String field) {
        return ((Number) line.get(field)).longValue();
    }
}
