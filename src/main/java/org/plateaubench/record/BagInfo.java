package org.plateaubench.record;

import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * Labels and values of a bag-info.txt (RFC 8493, section 2.2.2), in order.
 *
 * @param entries label and value; a label may come more than once
 */
public record BagInfo(List<Map.Entry<String, String>> entries) {

    /** Name of the file. */
    public static final String FILE = "bag-info.txt";

    static final String RECORD = "External-Identifier";
    static final String AGENT = "Bag-Software-Agent";
    static final String SIMULATED = "Simulated";
    static final String OPENED = "Opened";
    static final String SEALED = "Sealed";
    static final String BAGGING_DATE = "Bagging-Date";
    static final String OXUM = "Payload-Oxum";
    static final String SIGNER = "Signer-Fingerprint";

    private static final Pattern ENTRY = Pattern.compile("([^:\\s][^:]*):[ \\t](.*)");

    /** Copies the list. */
    public BagInfo {
        entries = List.copyOf(entries);
    }

    /**
     * Reads the text. Long values may go on in lines that begin with a space or a tab.
     *
     * @param utf8 the file's bytes
     * @return what it holds
     * @throws RecordFault if a line is neither an entry nor goes on with one
     */
    public static BagInfo read(byte[] utf8) throws RecordFault {
        List<Map.Entry<String, String>> entries = new ArrayList<>();
        int number = 0;
        for (String line : new String(utf8, StandardCharsets.UTF_8).split("\r\n|\n|\r")) {
            number++;
            Matcher entry = ENTRY.matcher(line);
            if (entry.matches()) {
                entries.add(Map.entry(entry.group(1), entry.group(2)));
            } else if (line.matches("[ \\t].*") && !entries.isEmpty()) {
                Map.Entry<String, String> begun = entries.remove(entries.size() - 1);
                entries.add(Map.entry(begun.getKey(), begun.getValue() + " " + line.strip()));
            } else if (!line.isEmpty()) {
                throw new RecordFault(FILE + ":" + number, "'label: value' is needed, found '" + line + "'");
            }
        }
        return new BagInfo(entries);
    }

    /** The file's bytes; no line is folded. */
    byte[] bytes() {
        StringBuilder text = new StringBuilder();
        for (Map.Entry<String, String> entry : entries) {
            String line = entry.getKey() + ": " + entry.getValue();
            if (!ENTRY.matcher(line).matches()) {
                throw new IllegalArgumentException("an entry of bag-info.txt is one line, found '" + line + "'");
            }
            text.append(line).append('\n');
        }
        return text.toString().getBytes(StandardCharsets.UTF_8);
    }

    /** What is known when a record is opened. */
    static BagInfo opening(RecordHead head, String name) {
        return new BagInfo(List.of(
                Map.entry(RECORD, name),
                Map.entry(AGENT, head.agent()),
                Map.entry(SIMULATED, Boolean.toString(head.simulated())),
                Map.entry(OPENED, head.utc())));
    }

    /** The same without what a sealing adds. */
    BagInfo opening() {
        List<String> labels = List.of(RECORD, AGENT, SIMULATED, OPENED);
        return new BagInfo(
                entries.stream().filter(e -> labels.contains(e.getKey())).toList());
    }

    /** The same and more entries behind. */
    BagInfo with(List<Map.Entry<String, String>> more) {
        List<Map.Entry<String, String>> all = new ArrayList<>(entries);
        all.addAll(more);
        return new BagInfo(all);
    }

    /**
     * The values of a label, whatever its case.
     *
     * @param label for example "Payload-Oxum"
     * @return its values, in order; empty if there is none
     */
    public List<String> values(String label) {
        return entries.stream()
                .filter(e -> e.getKey().equalsIgnoreCase(label))
                .map(Map.Entry::getValue)
                .toList();
    }

    /**
     * The one value of a label.
     *
     * @param label for example "Simulated"
     * @return its value
     * @throws RecordFault if it has none, or more than one
     */
    public String value(String label) throws RecordFault {
        List<String> values = values(label);
        if (values.size() != 1) {
            throw new RecordFault(FILE, "one " + label + " is needed, found " + values.size());
        }
        return values.get(0);
    }
}
