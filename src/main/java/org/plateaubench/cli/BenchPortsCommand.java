package org.plateaubench.cli;

import java.io.PrintWriter;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.concurrent.Callable;
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

    @Parameters(paramLabel = "PORT", arity = "0..*", description = "ports to ask; without them all that are found")
    private List<String> ports = new ArrayList<>();

    @Option(
            names = "--baud",
            paramLabel = "RATE",
            split = ",",
            description = "baud rates to try instead of common ones")
    private List<Integer> bauds = PortSearch.COMMON_BAUDS;

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
        List<PortSearch.Found> found = PortSearch.ask(searched, bauds);
        List<String> sensors = ComputerDevice.temperatureSensors();
        out.print(json ? Json.page(fields(found, sensors)) : text(found, sensors));
        out.flush();
        return Main.DONE;
    }

    private static String text(List<PortSearch.Found> found, List<String> sensors) {
        StringBuilder text = new StringBuilder();
        if (found.isEmpty()) {
            text.append("no serial port is there; plug the device in and switch it on\n");
        } else {
            TextTable table = new TextTable("port", "device", "", ">baud", "answer to *IDN?");
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
