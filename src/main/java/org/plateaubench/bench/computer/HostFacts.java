package org.plateaubench.bench.computer;

import java.util.LinkedHashMap;
import java.util.Map;
import org.plateaubench.units.Decimals;
import oshi.SystemInfo;
import oshi.hardware.Baseboard;
import oshi.hardware.CentralProcessor;
import oshi.hardware.ComputerSystem;
import oshi.hardware.Firmware;
import oshi.hardware.HardwareAbstractionLayer;
import oshi.software.os.OperatingSystem;
import oshi.util.GlobalConfig;

/**
 * Facts about the computer for a record's provenance, never for a measurement. What the library does not know ("unknown",
 * a negative number, zero, nothing) is left out.
 */
public final class HostFacts {

    private static final String UNKNOWN = "unknown";

    private final Map<String, Object> facts = new LinkedHashMap<>();

    private HostFacts() {}

    /**
     * Asks the computer; takes up to half a second the first time.
     *
     * @return text, whole numbers and truth values by name, always in the same order; a new map
     */
    public static Map<String, Object> ask() {
        HostFacts host = new HostFacts();
        SystemInfo system = new SystemInfo();
        HardwareAbstractionLayer hardware = system.getHardware();
        OperatingSystem os = system.getOperatingSystem();
        CentralProcessor processor = hardware.getProcessor();
        ComputerSystem computer = hardware.getComputerSystem();
        Baseboard board = computer.getBaseboard();
        OperatingSystem.OSVersionInfo version = os.getVersionInfo();
        Firmware firmware = computer.getFirmware();
        host.put("processor", processor.getProcessorIdentifier().getName());
        host.put("physical-cores", processor.getPhysicalProcessorCount());
        host.put("logical-processors", processor.getLogicalProcessorCount());
        host.put("memory-bytes", hardware.getMemory().getTotal());
        host.put("computer", computer.getManufacturer(), computer.getModel());
        host.put("board", board.getManufacturer(), board.getModel(), board.getVersion());
        host.put(
                "firmware",
                firmware.getManufacturer(),
                firmware.getName(),
                firmware.getVersion(),
                firmware.getReleaseDate());
        host.put(
                "operating-system",
                os.getFamily(),
                version.getVersion(),
                version.getCodeName(),
                version.getBuildNumber());
        host.put("uptime-seconds", os.getSystemUptime());
        // Of the last minute; what else ran on this computer when the run began.
        double load = processor.getSystemLoadAverage(1)[0];
        host.put("load-average", load > 0 ? Decimals.fixed(load, 2) : UNKNOWN);
        host.facts.put("elevated", os.isElevated());
        // Both can be pointed elsewhere, and then the facts are not this computer's.
        host.put(
                "facts-from",
                GlobalConfig.get("oshi.util.sys.path", "/sys"),
                GlobalConfig.get("oshi.util.proc.path", "/proc"));
        return host.facts;
    }

    /** Joins the parts that are known. */
    void put(String name, String... parts) {
        StringBuilder text = new StringBuilder();
        for (String part : parts) {
            if (part != null && !part.isBlank() && !part.equalsIgnoreCase(UNKNOWN)) {
                text.append(text.isEmpty() ? "" : " ").append(part.strip());
            }
        }
        if (!text.isEmpty()) {
            facts.put(name, text.toString());
        }
    }

    private void put(String name, long number) {
        if (number > 0) {
            facts.put(name, number);
        }
    }
}
