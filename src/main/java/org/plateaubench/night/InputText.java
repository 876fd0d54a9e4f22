package org.plateaubench.night;

import java.time.OffsetDateTime;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import org.plateaubench.engine.Engine;
import org.plateaubench.engine.Input;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.Json;
import org.plateaubench.record.RecordFault;
import org.plateaubench.units.Decimals;

/** Inputs of the engine as journal lines, and back. Header and ticks have places of their own in the record. */
final class InputText {

    /** Field of the header that holds own levels of another night. */
    private static final String LEVELS_FROM = "levels-from";

    private static final String KIND = "input";
    private static final int LEVEL_DECIMALS = 3;

    private static final String ZONE_CHANGE = "zone-change";
    private static final String JOURNAL = "data/journal.jsonl";

    private InputText() {}

    /**
     * The header as the first line of a journal.
     *
     * @param header the header; plan, fans and bench file are files of the record
     * @param simulated true if anything of the bench is simulated
     * @return the fields, in order
     */
    static Map<String, Object> fields(Input.Header header, boolean simulated) {
        Map<String, Object> f = new LinkedHashMap<>();
        f.put("type", "header");
        f.put("rules", (long) Engine.RULES_VERSION);
        f.put("start", header.start().toString());
        header.zoneChange().ifPresent(change -> {
            Map<String, Object> fields = new LinkedHashMap<>();
            fields.put("after-seconds", Decimals.json(change.afterSeconds(), 3));
            fields.put("shift-seconds", (long) change.shiftSeconds());
            f.put(ZONE_CHANGE, fields);
        });
        f.put("simulated", simulated);
        header.levelsFrom().ifPresent(levels -> f.put(LEVELS_FROM, fields(levels)));
        return f;
    }

    /**
     * Reads a header back.
     *
     * @param files the record's files
     * @param line first line of its journal
     * @return the header
     * @throws RecordFault if it is not understood
     */
    static Input.Header header(NightFiles files, Map<String, Object> line) throws RecordFault {
        try {
            return understood(files, line);
        } catch (RuntimeException e) {
            throw notUnderstood(line, e);
        }
    }

    /** Rules by which the record of a header was made. */
    static long rules(Map<String, Object> header) throws RecordFault {
        return whole(header, "rules");
    }

    /** The tick of a journal line. */
    static long tick(Map<String, Object> line) throws RecordFault {
        return whole(line, "tick");
    }

    private static long whole(Map<String, Object> line, String field) throws RecordFault {
        if (line.get(field) instanceof Long number) {
            return number;
        }
        throw new RecordFault(JOURNAL, "a line needs a whole number \"" + field + "\": " + Json.line(line));
    }

    private static RecordFault notUnderstood(Map<String, Object> line, RuntimeException why) {
        RecordFault fault = new RecordFault(JOURNAL, "this line is not understood: " + Json.line(line));
        fault.initCause(why);
        return fault;
    }

    private static Input.Header understood(NightFiles files, Map<String, Object> line) {
        Optional<Input.ZoneChange> change = line.get(ZONE_CHANGE) instanceof Map<?, ?> f
                ? Optional.of(new Input.ZoneChange(
                        ((Number) f.get("after-seconds")).doubleValue(), ((Number) f.get("shift-seconds")).intValue()))
                : Optional.empty();
        return new Input.Header(
                files.plan(),
                files.fans(),
                files.bench(),
                OffsetDateTime.parse(text(line, "start")),
                levelsFrom(line),
                change);
    }

    /**
     * Own levels of another night as a field of the header.
     *
     * @param levels the levels
     * @return the field's value
     */
    static Map<String, Object> fields(Input.LevelsFrom levels) {
        Map<String, Object> f = new LinkedHashMap<>();
        f.put("record", levels.record());
        List<Object> list = new ArrayList<>();
        for (Input.StepLevel level : levels.levels()) {
            Map<String, Object> each = new LinkedHashMap<>();
            each.put("step", level.step());
            each.put("own-level", Decimals.json(level.ownLevelDb(), LEVEL_DECIMALS));
            list.add(each);
        }
        f.put("levels", list);
        return f;
    }

    /**
     * Reads own levels of another night back.
     *
     * @param header fields of the journal's header
     * @return the levels, or empty if the night took none
     */
    private static Optional<Input.LevelsFrom> levelsFrom(Map<String, Object> header) {
        if (!(header.get(LEVELS_FROM) instanceof Map<?, ?> f)) {
            return Optional.empty();
        }
        List<Input.StepLevel> levels = ((List<?>) f.get("levels"))
                .stream()
                        .map(each -> (Map<?, ?>) each)
                        .map(each -> new Input.StepLevel(
                                String.valueOf(each.get("step")), ((Number) each.get("own-level")).doubleValue()))
                        .toList();
        return Optional.of(new Input.LevelsFrom(String.valueOf(f.get("record")), levels));
    }

    /**
     * An input as the fields of a journal line.
     *
     * @param tick the tick at which it is applied
     * @param input anything but a header or a tick
     * @return the fields, in order
     */
    static Map<String, Object> fields(long tick, Input input) {
        Map<String, Object> f = new LinkedHashMap<>();
        f.put("tick", tick);
        if (input instanceof Input.CommandResult r) {
            f.put(KIND, "command-result");
            f.put("target", r.target());
            f.put("asked", r.asked());
            f.put("done", r.done());
            f.put("readback", r.readback());
            f.put("detail", r.detail());
        } else if (input instanceof Input.LoadNews n) {
            f.put(KIND, "load");
            f.put("event", lower(n.kind()));
            f.put("detail", n.detail());
        } else if (input instanceof Input.DeviceNews n) {
            f.put(KIND, "device");
            f.put("device", n.device());
            f.put("event", lower(n.kind()));
            f.put("detail", n.detail());
        } else if (input instanceof Input.Operator o) {
            f.put(KIND, "operator");
            f.put("by", o.by());
        } else if (input instanceof Input.Signal s) {
            f.put(KIND, "signal");
            f.put("name", s.name());
        } else if (input instanceof Input.ClockEvent c) {
            f.put(KIND, "clock");
            f.put("event", c.kind());
            f.put("seconds", Decimals.json(c.seconds(), 3));
        } else if (input instanceof Input.StorageFault s) {
            f.put(KIND, "storage");
            f.put("detail", s.detail());
        } else if (input instanceof Input.Resume r) {
            f.put(KIND, "resume");
            f.put("gap-seconds", Decimals.json(r.gapSeconds(), 3));
        } else {
            throw new IllegalArgumentException(input.getClass().getSimpleName() + " is not recorded as a journal line");
        }
        return f;
    }

    /**
     * Reads an input back.
     *
     * @param f fields of a journal line
     * @return the input, or empty if the line holds none
     * @throws RecordFault if it is not understood
     */
    static Optional<Input> read(Map<String, Object> f) throws RecordFault {
        Object kind = f.get(KIND);
        try {
            return kind == null ? Optional.empty() : Optional.of(understood(kind.toString(), f));
        } catch (RuntimeException e) {
            throw notUnderstood(f, e);
        }
    }

    private static Input understood(String kind, Map<String, Object> f) {
        return switch (kind) {
            case "command-result" ->
                new Input.CommandResult(
                        text(f, "target"),
                        text(f, "asked"),
                        Boolean.TRUE.equals(f.get("done")),
                        text(f, "readback"),
                        text(f, "detail"));
            case "load" -> new Input.LoadNews(kind(Input.LoadNews.Kind.class, text(f, "event")), text(f, "detail"));
            case "device" ->
                new Input.DeviceNews(
                        text(f, "device"), kind(Input.DeviceNews.Kind.class, text(f, "event")), text(f, "detail"));
            case "operator" -> new Input.Operator(text(f, "by"));
            case "signal" -> new Input.Signal(text(f, "name"));
            case "clock" -> new Input.ClockEvent(text(f, "event"), ((Number) f.get("seconds")).doubleValue());
            case "storage" -> new Input.StorageFault(text(f, "detail"));
            case "resume" -> new Input.Resume(((Number) f.get("gap-seconds")).doubleValue());
            default -> throw new IllegalArgumentException("unknown input '" + kind + "' in the journal");
        };
    }

    private static String text(Map<String, Object> f, String name) {
        return String.valueOf(f.get(name));
    }

    private static String lower(Enum<?> kind) {
        return kind.name().toLowerCase(Locale.ROOT).replace('_', '-');
    }

    private static <E extends Enum<E>> E kind(Class<E> type, String text) {
        return Enum.valueOf(type, text.toUpperCase(Locale.ROOT).replace('-', '_'));
    }
}
