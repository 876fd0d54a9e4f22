package org.plateaubench.night;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.plateaubench.record.Json;
import org.plateaubench.units.Decimals;

/** A rehearsal for programs. */
public final class RehearsalJson {

    private RehearsalJson() {}

    /**
     * Writes a rehearsal.
     *
     * @param rehearsal the rehearsal
     * @return JSON, ended by a line feed
     */
    public static String of(Rehearsal rehearsal) {
        Map<String, Object> root = new LinkedHashMap<>();
        root.put("simulated", true);
        root.put("start", rehearsal.start().toString());
        root.put("duration_s", Decimals.json(rehearsal.seconds(), 1));
        root.put("passes_done", rehearsal.passesDone());
        root.put("passes_planned", rehearsal.passesPlanned());
        root.put("ending", rehearsal.reason());
        root.put("record_bytes", rehearsal.bytes());
        List<Object> stages = new ArrayList<>();
        for (Rehearsal.Entry e : rehearsal.timeline()) {
            Map<String, Object> stage = new LinkedHashMap<>();
            stage.put("stage", e.stage());
            stage.put("pass", e.pass());
            stage.put("step", e.step());
            stage.put("begins_s", Decimals.json(e.beginSeconds(), 1));
            stage.put("ends_s", Decimals.json(e.endSeconds(), 1));
            stages.add(stage);
        }
        root.put("stages", stages);
        return Json.page(root);
    }
}
