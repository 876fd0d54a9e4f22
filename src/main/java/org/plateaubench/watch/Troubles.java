package org.plateaubench.watch;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/**
 * What of a running night needs a person, kept up from its journal: what is not over yet, or cannot be mended by itself.
 * A spoiled pass is none, since it is repeated.
 */
final class Troubles {

    private final Map<String, String> open = new LinkedHashMap<>();

    /** Takes a journal line. */
    void take(Map<String, Object> line) {
        String text = Happening.text(line);
        if (line.get("input") instanceof String input) {
            switch (input) {
                case "device" ->
                    set("device " + line.get("device"), !line.get("event").equals("back"), text);
                case "command-result" -> set("set " + line.get("target"), !Happening.done(line), text);
                case "storage" -> set("storage", true, text);
                default -> {
                    // other inputs need nobody by themselves; what comes of them is a decision
                }
            }
        } else if ("pass-given-up".equals(line.get("decision"))) {
            set("pass " + line.get("pass"), true, text);
        } else if ("block-not-begun".equals(line.get("decision"))) {
            set("block " + line.get("block"), true, text);
        } else if ("end".equals(line.get("decision"))) {
            set("end", !Long.valueOf(0).equals(whole(line.get("exit"))), "the night has ended: " + text);
        } else if (line.containsKey("safe")) {
            set("safe " + line.get("target"), !Happening.done(line), text);
        }
    }

    private static Long whole(Object number) {
        return number instanceof Number n ? n.longValue() : null;
    }

    /** Sets whether something is the matter. */
    void set(String about, boolean matters, String text) {
        if (matters) {
            open.put(about, text);
        } else {
            open.remove(about);
        }
    }

    /** One line for each, in the order in which they came up. */
    List<String> texts() {
        return List.copyOf(open.values());
    }
}
