package org.plateaubench.hostile;

import java.util.ArrayList;
import java.util.List;
import java.util.stream.Collectors;
import java.util.stream.IntStream;
import org.plateaubench.hostile.Ticket.Cut;

/**
 * A drawn simulated bench: which devices and channels it has, what it declares, what its room is like.
 *
 * @param text the bench file
 * @param fansText the fans file that fits it
 * @param devices names of the serial devices
 * @param supply true if it has a supply
 * @param computer true if a computer belongs to it
 * @param meter true if it has a sound level meter
 * @param fans names of the fans' channels
 * @param channels names of all channels
 * @param runSeconds how long its workload runs, s
 * @param pumpRpm a speed that its pump reaches, for the plan's pump-lock, rpm
 */
record DrawnBench(
        String text,
        String fansText,
        List<String> devices,
        boolean supply,
        boolean computer,
        boolean meter,
        List<String> fans,
        List<String> channels,
        double runSeconds,
        double pumpRpm) {

    static DrawnBench draw(long seed, Ticket ticket) {
        Dice dice = new Dice(seed, "bench");
        boolean supply = dice.chance(0.5);
        boolean ownSupply = supply && dice.chance(0.4);
        boolean computer = !supply || dice.chance(0.6);
        boolean pumpController = dice.chance(0.2);
        boolean meter = dice.chance(0.3);
        boolean leak = dice.chance(0.5);
        boolean valid = dice.chance(0.8);
        boolean readback = dice.chance(0.8);
        boolean pumpReadback = dice.chance(0.8);
        boolean cutoff = dice.chance(0.8);
        boolean relay = dice.chance(0.3);
        boolean identity = dice.chance(0.8);
        int fans = dice.pick(1, 1, 2, 3);
        double pumpRpm = StrictMath.rint(dice.between(1800, 2900));
        double runSeconds = StrictMath.rint(dice.magnitude(15, 480));
        List<String> devices = new ArrayList<>(List.of("controller"));
        boolean bootCount = new Dice(seed, "boot count").chance(0.3);
        StringBuilder t = new StringBuilder("bench: hostile loop\ndevices:\n");
        t.append("  controller: { port: simulated, baud: 115200, dialect: scpi, timeout: 300 ms")
                .append(identity ? ", identity: \"PLATEAU,SIMULATED-CONTROLLER,0,1\"" : "")
                .append(cutoff ? ", silence-cutoff: 10 s" : "")
                .append(bootCount ? ", boot-count: \"SYST:BOOT?\"" : "")
                .append(" }\n");
        if (pumpController) {
            devices.add("pumps");
            t.append("  pumps: { port: simulated, baud: 38400, dialect: ")
                    .append(dice.pick("scpi", "text"))
                    .append(", timeout: 200 ms")
                    .append(cutoff ? ", silence-cutoff: 10 s" : "")
                    .append(" }\n");
        }
        if (ownSupply) {
            devices.add("supply");
            t.append("  supply: { port: simulated, baud: 9600, dialect: scpi, timeout: 300 ms }\n");
        }
        if (meter) {
            devices.add("meter");
            t.append("  meter: { port: simulated, baud: 9600, dialect: text, line-end: crlf, timeout: 300 ms }\n");
        }
        if (computer) {
            t.append("  host: { computer: simulated }\n");
        }

        List<String> channels = new ArrayList<>();
        t.append("channels:\n");
        String pumps = pumpController ? "pumps" : "controller";
        boolean twoCoolants = dice.chance(0.2);
        channel(t, channels, "ambient", "controller, ask: \"MEAS:TEMP? (@1)\", unit: °C", valid, "5 °C, 45 °C");
        if (twoCoolants) {
            channel(t, channels, "coolant-in", "controller, ask: \"MEAS:TEMP? (@2)\", unit: °C", valid, "5 °C, 80 °C");
            channel(t, channels, "coolant-out", "controller, ask: \"MEAS:TEMP? (@3)\", unit: °C", valid, "5 °C, 80 °C");
        } else {
            channel(
                    t,
                    channels,
                    "coolant",
                    "controller, ask: \"MEAS:TEMP? (@2)\", unit: °C"
                            + (dice.chance(0.15) && flickers(seed) ? ", frozen-after: 2 min" : ""),
                    valid,
                    "5 °C, 80 °C");
        }
        List<String> fanNames =
                IntStream.rangeClosed(1, fans).mapToObj(i -> "fan-" + i).toList();
        for (int i = 1; i <= fans; i++) {
            channel(
                    t,
                    channels,
                    "fan-" + i,
                    "controller, ask: \"MEAS:FREQ? (@1" + i + ")\", tachometer: 2 per revolution",
                    false,
                    "");
        }
        channel(t, channels, "pump", pumps + ", ask: \"MEAS:FREQ? (@21)\", tachometer: 2 per revolution", false, "");
        if (leak) {
            channel(t, channels, "leak", "controller, ask: \"MEAS:VOLT? (@31)\", unit: V", valid, "0 V, 5 V");
        }
        if (meter) {
            t.append("  level: { device: meter, ask: \"L?\", match: \"^([0-9.]+) dBA$\", unit: dB, weighting: A,"
                    + " response: \"LAeq 1 s\", floor: 14 dB }\n");
            channels.add("level");
        }
        boolean cpu = computer && dice.chance(0.9);
        if (cpu) {
            channel(t, channels, "cpu", "host, sensor: \"simulated/package\", unit: °C", valid, "5 °C, 120 °C");
        }
        if (computer) {
            channel(t, channels, "cpu-clock", "host, fact: processor-clock, unit: MHz", false, "");
            channel(t, channels, "throttle-count", "host, fact: throttle-count", false, "");
        }
        if (computer && dice.chance(0.5)) {
            channel(t, channels, "power", "host, fact: processor-power, unit: W", false, "");
        }
        t.append("groups: { fans: [").append(String.join(", ", fanNames)).append("] }\n");
        t.append("actuators:\n  fan-duty: { device: controller, set: \"SOUR1:PULS:DCYC {percent}\"")
                .append(readback ? ", readback: \"SOUR1:PULS:DCYC?\"" : "")
                .append(", safe: ")
                .append(dice.pick("100 %", "100 %", "80 %"))
                .append(" }\n  pump-duty: { device: ")
                .append(pumps)
                .append(", set: \"SOUR2:PULS:DCYC {percent}\"")
                .append(pumpReadback ? ", readback: \"SOUR2:PULS:DCYC?\"" : "")
                .append(", safe: 100 % }\n");
        if (computer) {
            t.append("workloads:\n  compile: { simulated: { power: ")
                    .append(dice.pick("90 W", "150 W", "200 W", "250 W"))
                    .append(", run: ")
                    .append(Dice.text(runSeconds))
                    .append(" s } }\n");
        }
        if (supply) {
            t.append("supply: { device: ")
                    .append(ownSupply ? "supply" : "controller")
                    .append(", set: \"SOUR3:POW {watt}\"")
                    .append(dice.chance(0.8) ? ", readback: \"SOUR3:POW?\"" : "")
                    .append(", cutoff: { silence: 10 s, by: ")
                    .append(relay ? "relay" : "supply")
                    .append(" } }\n");
        }
        t.append("limits:\n");
        if (twoCoolants) {
            t.append("  - { channel: coolant-in, above: 60 °C, for: 3 s }\n");
            t.append("  - { channel: coolant-out, above: 60 °C, for: 3 s }\n");
        } else {
            t.append("  - { channel: coolant, above: 55 °C, for: ")
                    .append(dice.pick("1 s", "3 s", "5 s"))
                    .append(" }\n");
        }
        if (cpu) {
            t.append("  - { channel: cpu, above: 95 °C, for: 3 s }\n");
        }
        if (dice.chance(0.7)) {
            t.append("  - { channel: pump, below: ")
                    .append(Dice.text(StrictMath.rint(pumpRpm * 0.75)))
                    .append(" rpm, for: ")
                    .append(dice.pick("3 s", "3 s", "20 s"))
                    .append(" }\n");
        }
        if (leak) {
            t.append("  - { channel: leak, above: 1 V, for: 1 s, then: pump-off }\n");
        }
        if (dice.chance(0.6)) {
            t.append("commissioning: { slow-time-constant: 1500 s, fast-time-constant: ")
                    .append(dice.pick("250 s", "350 s", "450 s"))
                    .append(", measured: 2026-11-20 }\n");
        }
        simulation(t, seed, ticket);
        String specimens = fanNames.stream().map(f -> f.replace("fan", "A")).collect(Collectors.joining(", "));
        boolean shared = fans == 1 && dice.chance(0.5);
        String fansText = "set: A\nspecimens: [" + (shared ? "A-1, A-2, A-3" : specimens)
                + "]\ndescription: invented\nsetting: as delivered\nmount: { number: 1, side: push, screws: M3 }\n"
                + "run-in: 24 h\n" + (shared ? "tachometers: { fans: one-of 3 }\n" : "");
        return new DrawnBench(
                t.toString(),
                fansText,
                List.copyOf(devices),
                supply,
                computer,
                meter,
                fanNames,
                List.copyOf(channels),
                runSeconds,
                pumpRpm);
    }

    private static void channel(
            StringBuilder t, List<String> channels, String name, String what, boolean valid, String range) {
        t.append("  ").append(name).append(": { device: ").append(what);
        t.append(valid && !range.isEmpty() ? ", valid: [" + range + "]" : "").append(" }\n");
        channels.add(name);
    }

    /** Half of the benches have thermometers whose last digit is never still, so that a still one is broken. */
    private static boolean flickers(long seed) {
        return new Dice(seed, "flicker").chance(0.5);
    }

    private static void simulation(StringBuilder t, long seed, Ticket ticket) {
        Dice dice = new Dice(seed, "room");
        List<String> room = new ArrayList<>();
        setting(room, dice.chance(0.3), "heating-cycle-amplitude", dice.between(0.1, 0.8), "K");
        setting(room, dice.chance(0.3), "heating-cycle-period", dice.between(4, 15), "min");
        setting(room, dice.chance(0.3), "ambient-drift", dice.between(-1.5, 1.5), "K/h");
        setting(room, dice.chance(0.2), "door-openings", dice.whole(1, 4), "");
        setting(room, dice.chance(0.2), "recirculation", dice.between(0, 10), "%");
        setting(room, dice.chance(0.3), "ambient", dice.between(12, 32), "°C");
        List<String> set = new ArrayList<>();
        if (ticket.cuts().contains(Cut.CALM)) {
            room.clear();
        }
        boolean flickers = flickers(seed);
        setting(room, dice.chance(0.3) && !flickers, "noise", dice.between(0, 0.08), "K");
        setting(room, dice.chance(0.3) && !flickers, "noise-correlation", dice.between(0, 90), "%");
        setting(room, dice.chance(0.3) && !flickers, "resolution", dice.pick(0.0, 0.0625, 0.1), "K");
        setting(room, dice.chance(0.3), "probe-lag", dice.between(0, 20), "s");
        setting(room, dice.chance(0.3), "slow-mode-share", dice.between(0, 12), "%");
        setting(room, dice.chance(0.2), "power-spread", dice.between(0, 2), "%");
        setting(room, dice.chance(0.3), "tachometer-jitter", dice.between(0, 0.4), "%");
        setting(set, true, "max-speed", StrictMath.rint(dice.between(1900, 2400)), "rpm");
        setting(set, dice.chance(0.3), "start-duty", dice.between(15, 28), "%");
        setting(set, dice.chance(0.3), "stop-duty", dice.between(8, 15), "%");
        setting(set, dice.chance(0.3), "spread", dice.between(0, 3), "%");
        setting(set, dice.chance(0.2), "bow", dice.between(-8, 8), "%");
        t.append("simulation:\n  start: 2026-11-24T22:10:00+01:00\n  seed: ").append(dice.whole(1, 1000));
        t.append("\n  settings: { ").append(String.join(", ", room)).append(" }\n");
        t.append("  sets:\n    A: { ").append(String.join(", ", set)).append(" }\n");
    }

    private static void setting(List<String> to, boolean drawn, String name, double value, String unit) {
        if (drawn) {
            to.add(name + ": " + Dice.text(value) + (unit.isEmpty() ? "" : " " + unit));
        }
    }
}
