package org.plateaubench.cli;

import java.util.List;
import java.util.Optional;

/**
 * A first bench file, with comments that say what is still to be compared with the devices' manuals.
 *
 * @param name the bench's name
 * @param controller the device that drives fans and pump and reads probes and tachometers
 * @param fans how many fans are seen by tachometers, 1 to 9
 * @param meter the level meter, if there is one
 * @param cpuSensor the computer's sensor of the processor's temperature, if it is to be read
 * @param workload a command of this computer that makes heat, as words; empty if there is none
 * @param supply true if the controller sets a supply that makes heat
 */
record NewBenchFile(
        String name,
        Instrument controller,
        int fans,
        Optional<Instrument> meter,
        Optional<String> cpuSensor,
        List<String> workload,
        boolean supply) {

    /** "22.5", "T1= 22.5 C", "24.7dBA"; a line with two numbers, or a decimal comma, makes none. */
    private static final String ONE_NUMBER = "\"^(?:[^=]*=)? *([-+0-9.,]+) *[^0-9.,]*$\"";

    /** Copies the list. */
    NewBenchFile {
        workload = List.copyOf(workload);
    }

    /**
     * A device on a serial port.
     *
     * @param port path of the port
     * @param baud baud rate
     * @param lineEnd what ends its lines: "lf", "crlf" or "cr"
     * @param scpi true if it speaks SCPI
     * @param identity what it answers to *IDN?; empty if it does not
     */
    record Instrument(String port, int baud, String lineEnd, boolean scpi, String identity) {

        private String text(String more) {
            return "{ port: " + quoted(port) + ", baud: " + baud + ", dialect: " + (scpi ? "scpi" : "text")
                    + ", line-end: " + lineEnd + (identity.isEmpty() ? "" : ", identity: " + quoted(identity))
                    + ", timeout: 300 ms" + more + " }";
        }
    }

    /** {@return the file's text, which a bench file's reader accepts} */
    String text() {
        StringBuilder text = new StringBuilder();
        text.append(
                        "# A bench file that was made from answers; compare every ask and set with the manual of the device,\n")
                .append("# then try it: plateau bench check FILE. What each key means: hardware-notes/serial.md.\n")
                .append("bench: ")
                .append(quoted(name))
                .append('\n')
                .append("configuration:\n")
                .append(
                        "  # What makes this bench what it is; a record is comparable only with records of the same bench.\n")
                .append("  radiator: \"to be filled in, such as 360 mm, 30 mm deep\"\n");
        devices(text);
        channels(text);
        text.append("groups: { fans: [");
        for (int i = 1; i <= fans; i++) {
            text.append(i == 1 ? "fan-" : ", fan-").append(i);
        }
        text.append("] }\n");
        actuators(text);
        heat(text);
        text.append("limits:\n")
                .append(
                        "  # Beyond one of them for its time the run ends and the bench is made safe. A plan may only tighten"
                                + " them.\n")
                .append("  - { channel: coolant, above: 50 °C, for: 3 s }\n");
        cpuSensor.ifPresent(s -> text.append("  - { channel: cpu, above: 95 °C, for: 3 s }\n"));
        return text.toString();
    }

    private void devices(StringBuilder text) {
        text.append("devices:\n")
                .append(
                        "  # silence-cutoff: after how long without a request the controller goes to full speed by itself."
                                + " bench check\n")
                .append("  # times it. Take it out if yours does not: then nights need somebody beside the bench.\n")
                .append("  controller: ")
                .append(controller.text(", silence-cutoff: 10 s"))
                .append('\n');
        meter.ifPresent(m -> text.append("  meter: ").append(m.text("")).append('\n'));
        if (cpuSensor.isPresent()) {
            text.append("  host: { computer: this }\n");
        }
    }

    private void channels(StringBuilder text) {
        String ask = controller.scpi() ? "MEAS:TEMP? (@%d)" : "T%d?";
        String frequency = controller.scpi() ? "MEAS:FREQ? (@%d)" : "F%d?";
        String match = controller.scpi() ? "" : ", match: " + ONE_NUMBER;
        text.append("channels:\n")
                .append("  # valid keeps a power-on value of 85 °C and a lost probe out. Corrections: plateau bench"
                        + " calibrate.\n")
                .append("  ambient: { device: controller, ask: ")
                .append(quoted(numbered(ask, 1)))
                .append(match)
                .append(", unit: °C, valid: [5 °C, 45 °C] }\n")
                .append("  coolant: { device: controller, ask: ")
                .append(quoted(numbered(ask, 2)))
                .append(match)
                .append(", unit: °C, valid: [5 °C, 80 °C] }\n")
                .append("  # A tachometer is answered for in Hz; two pulses a revolution is usual.\n");
        for (int i = 1; i <= fans; i++) {
            text.append("  fan-")
                    .append(i)
                    .append(": { device: controller, ask: ")
                    .append(quoted(numbered(frequency, 10 + i)))
                    .append(match)
                    .append(", tachometer: 2 per revolution, valid: [0 rpm, 6000 rpm] }\n");
        }
        text.append("  pump: { device: controller, ask: ")
                .append(quoted(numbered(frequency, 21)))
                .append(match)
                .append(", tachometer: 2 per revolution, valid: [0 rpm, 8000 rpm] }\n");
        meter.ifPresent(m -> text.append("  level: { device: meter, ask: \"L?\", match: " + ONE_NUMBER
                + ", unit: dB, weighting: A, response: \"LAeq 1 s\" }\n"));
        cpuSensor.ifPresent(s -> text.append("  cpu: { device: host, sensor: ")
                .append(quoted(s))
                .append(", unit: °C, uncertainty: { limits: 1 K } }\n"));
    }

    private static String numbered(String template, int number) {
        return template.replace("%d", Integer.toString(number));
    }

    private void actuators(StringBuilder text) {
        text.append("actuators:\n").append("  # safe: the duty that can be left alone with the heat on.\n");
        for (int i = 1; i <= 2; i++) {
            String set = controller.scpi() ? "SOUR" + i + ":PULS:DCYC {percent}" : "D" + i + "={percent}";
            String readback = controller.scpi() ? "SOUR" + i + ":PULS:DCYC?" : "D" + i + "?";
            text.append(i == 1 ? "  fan-duty: " : "  pump-duty: ")
                    .append("{ device: controller, set: ")
                    .append(quoted(set))
                    .append(", readback: ")
                    .append(quoted(readback))
                    .append(controller.scpi() ? "" : ", match: " + ONE_NUMBER)
                    .append(", safe: 100 % }\n");
        }
    }

    private void heat(StringBuilder text) {
        if (!workload.isEmpty()) {
            text.append("workloads:\n")
                    .append("  # Commands that make heat live here, with the bench's owner, never in a plan.\n")
                    .append("  heat: { run: [")
                    .append(String.join(
                            ", ", workload.stream().map(NewBenchFile::quoted).toList()))
                    .append("] }\n");
        }
        if (supply) {
            String set = controller.scpi() ? "SOUR3:POW {watt}" : "P={watt}";
            String readback = controller.scpi() ? "SOUR3:POW?" : "P?";
            text.append("# A supply needs a cut-off that takes the heat away when this program falls silent.\n")
                    .append("supply: { device: controller, set: ")
                    .append(quoted(set))
                    .append(", readback: ")
                    .append(quoted(readback))
                    .append(controller.scpi() ? "" : ", match: " + ONE_NUMBER)
                    .append(", cutoff: { silence: 10 s, by: supply } }\n");
        }
    }

    private static String quoted(String text) {
        return "\"" + text.replace("\\", "\\\\").replace("\"", "\\\"") + "\"";
    }
}
