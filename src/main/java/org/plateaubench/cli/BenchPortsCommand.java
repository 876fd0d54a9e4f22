package org.plateaubench.cli;

import java.io.PrintWriter;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.concurrent.Callable;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.plateaubench.bench.computer.ComputerDevice;
import org.plateaubench.bench.serial.PortSearch;
import org.plateaubench.record.Json;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** Shows what is plugged in. */
@Command(
        name = "ports",
        mixinStandardHelpOptions = true,
        footer = {"", "Examples:", "  plateau bench ports", "  plateau bench ports /dev/ttyUSB0 --baud 38400"},
        header = "Shows the serial ports and who answers behind them, and this computer's sensors.",
        description =
                "Asks *IDN? at common baud rates, all ports at once; it takes up to 20 s. Opening a port resets some boards,"
                        + " and a question may disturb what is no instrument: name the ports to ask no others. A port that"
                        + " another program uses is left alone.")
final class BenchPortsCommand implements Callable<Integer> {

    private static final Pattern UNITS = Pattern.compile("([0-9]{1,3})(?:-([0-9]{1,3}))?");

    /** Modbus over serial line V1.02, 2.2. */
    private static final int MOST_UNITS = 247;

    @Parameters(paramLabel = "PORT", arity = "0..*", description = "ports to ask; without them all that are found")
    private List<String> ports = new ArrayList<>();

    @Option(
            names = "--baud",
            paramLabel = "RATE",
            split = ",",
            description = "baud rates to try instead of common ones")
    private List<Integer> bauds = PortSearch.COMMON_BAUDS;

    @Option(
            names = "--modbus",
            paramLabel = "UNITS",
            description = "ask the ports that are named for Modbus units instead, such as 1-20 or 3,17")
    private String modbus;

    @Option(names = "--json", description = "for programs")
    private boolean json;

    @Spec
    private CommandSpec spec;

    @Override
    public Integer call() {
        PrintWriter out = spec.commandLine().getOut();
        List<PortSearch.Port> searched = ports.isEmpty()
                ? PortSearch.ports()
                : ports.stream().map(path -> new PortSearch.Port(path, "")).toList();
        List<PortSearch.Found> found =
                modbus == null ? PortSearch.ask(searched, bauds) : PortSearch.askModbus(searched, bauds, units());
        List<String> sensors = ComputerDevice.temperatureSensors();
        out.print(json ? Json.page(fields(found, sensors)) : text(found, sensors));
        out.flush();
        return Main.DONE;
    }

    /** The addresses that --modbus names. */
    private List<Integer> units() {
        if (ports.isEmpty()) {
            throw new Refusal(
                    "--modbus needs the ports to ask; what is no Modbus device should not be sent its frames");
        }
        List<Integer> units = new ArrayList<>();
        for (String part : modbus.split(",")) {
            Matcher range = UNITS.matcher(part);
            int first = range.matches() ? Integer.parseInt(range.group(1)) : 0;
            int last = range.matches() && range.group(2) != null ? Integer.parseInt(range.group(2)) : first;
            if (first < 1 || last < first || last > MOST_UNITS) {
                throw new Refusal(
                        "--modbus needs addresses from 1 to " + MOST_UNITS + ", such as 1-20 or 3,17; found " + modbus);
            }
            for (int unit = first; unit <= last; unit++) {
                units.add(unit);
            }
        }
        return units;
    }

    private static String text(List<PortSearch.Found> found, List<String> sensors) {
        StringBuilder text = new StringBuilder();
        if (found.isEmpty()) {
            text.append("no serial port is there; plug the device in and switch it on\n");
        } else {
            TextTable table = new TextTable("port", "device", "", ">baud", "answer");
            for (PortSearch.Found f : found) {
                table.row(
                        f.port().path(),
                        f.port().device(),
                        word(f.state()),
                        f.baud() == 0 ? "" : Integer.toString(f.baud()),
                        f.answer().isEmpty() ? f.detail() : f.answer());
            }
            text.append(table.text());
        }
        if (!sensors.isEmpty()) {
            text.append("temperature sensors of this computer:\n");
            sensors.forEach(s -> text.append("  ").append(s).append('\n'));
        }
        return text.toString();
    }

    private static String word(PortSearch.State state) {
        return state.name().toLowerCase(Locale.ROOT).replace('_', ' ');
    }

    private static Map<String, Object> fields(List<PortSearch.Found> found, List<String> sensors) {
        List<Map<String, Object>> rows = new ArrayList<>();
        for (PortSearch.Found f : found) {
            Map<String, Object> row = new LinkedHashMap<>();
            row.put("port", f.port().path());
            row.put("device", f.port().device());
            row.put("state", word(f.state()));
            row.put("baud", f.baud());
            row.put("line-end", f.lineEnd());
            row.put("answer", f.answer());
            row.put("detail", f.detail());
            rows.add(row);
        }
        Map<String, Object> page = new LinkedHashMap<>();
        page.put("ports", rows);
        page.put("temperature-sensors", sensors);
        return page;
    }
}
