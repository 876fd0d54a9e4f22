package org.plateaubench.night;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.OptionalLong;
import org.plateaubench.bench.BenchException;
import org.plateaubench.bench.DeviceIdentity;
import org.plateaubench.clock.Clock;
import org.plateaubench.engine.Engine;
import org.plateaubench.record.Json;
import org.plateaubench.record.RecordFault;
import org.plateaubench.record.RecordedNight;

/**
 * By what a record was made: program, rules, clock, devices as they answered, host and operator. It is written when the
 * record is opened, so that a night that goes on can tell whether it is on the same bench.
 *
 * @param fields its JSON fields, in order
 */
public record Provenance(Map<String, Object> fields) {

    /** Its file under data. */
    static final String FILE = "provenance.json";

    private static final String DEVICES = "devices";
    private static final String IDENTITY = "identity";

    /** What is known when a record is opened. */
    static Provenance of(
            String agent, boolean simulated, Clock clock, List<DeviceIdentity> identities, Map<String, Object> more) {
        Map<String, Object> map = new LinkedHashMap<>();
        map.put("program", agent);
        map.put("rules", Engine.RULES_VERSION);
        map.put("simulated", simulated);
        map.put("clock", clock.simulated() ? "simulated" : "monotonic clock of this computer, UTC beside");
        List<Object> devices = new ArrayList<>();
        for (DeviceIdentity identity : identities) {
            Map<String, Object> device = new LinkedHashMap<>();
            device.put("device", identity.device());
            device.put(IDENTITY, identity.identity());
            device.put("where", identity.where());
            devices.add(device);
        }
        map.put(DEVICES, devices);
        map.putAll(more);
        return new Provenance(map);
    }

    /**
     * Reads a record's.
     *
     * @param night the record
     * @return its provenance
     * @throws IOException if it cannot be read
     */
    public static Provenance of(RecordedNight night) throws IOException {
        try {
            return new Provenance(Json.read(night.file(FILE)));
        } catch (Json.JsonFault e) {
            throw new RecordFault("data/" + FILE, e.getMessage());
        }
    }

    byte[] bytes() {
        return Json.page(fields).getBytes(StandardCharsets.UTF_8);
    }

    /** {@return the seed of a simulated night, if it states one} */
    public OptionalLong seed() {
        return fields.get("seed") instanceof Number seed ? OptionalLong.of(seed.longValue()) : OptionalLong.empty();
    }

    /**
     * Checks that the bench is the one that the record was begun on. Where its devices are found may have changed.
     *
     * @param identities the devices as they answer now
     * @throws BenchException if it is another one
     */
    void requireSameDevices(List<DeviceIdentity> identities) throws BenchException {
        for (DeviceIdentity now : identities) {
            String before = identity(now.device());
            if (!now.identity().equals(before)) {
                throw new BenchException(
                        "device " + now.device() + " answers as '" + now.identity() + "', the record was begun with '"
                                + before + "'; nothing was set",
                        null);
            }
        }
    }

    private String identity(String device) {
        for (Object each : fields.get(DEVICES) instanceof List<?> list ? list : List.of()) {
            if (each instanceof Map<?, ?> map && device.equals(map.get("device"))) {
                return String.valueOf(map.get(IDENTITY));
            }
        }
        return "nothing";
    }
}
