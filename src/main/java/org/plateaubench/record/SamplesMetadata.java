package org.plateaubench.record;

import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.plateaubench.units.Unit;

/**
 * What describes samples.csv: CSV on the web (W3C Recommendation of 17 December 2015, "Metadata Vocabulary for Tabular
 * Data"). Columns go by their titles, since a hyphen has no place in its "name"; units are schema.org's unitText.
 *
 * @param columns heads of the readings, in order
 * @param stages every stage that a sample can be taken in
 */
record SamplesMetadata(List<ColumnHead> columns, List<String> stages) {

    static final String FILE = "data/samples.csv-metadata.json";

    private static final String UNIT = "schema:unitText";

    /** Lines of a samples.csv that is described so. */
    SampleLines lines() {
        return new SampleLines(columns.stream().map(ColumnHead::name).toList(), stages);
    }

    byte[] bytes() {
        List<Object> described = new ArrayList<>();
        described.add(column("tick", Map.of("base", "integer"), "number of the tick, from 0"));
        described.add(column("offset_ms", Map.of("base", "integer"), "monotonic milliseconds since the run began"));
        described.add(column("missed", Map.of("base", "integer"), "ticks passed over just before this one"));
        described.add(column(
                "utc", Json.ordered("base", "dateTime", "format", "yyyy-MM-ddTHH:mm:ss.SSSX"), "wall-clock time"));
        described.add(column(
                "stage", Json.ordered("base", "string", "format", String.join("|", stages)), "stage of the run"));
        described.add(column("pass", Map.of("base", "string"), "name of the pass; empty between passes"));
        for (ColumnHead head : columns) {
            Map<String, Object> column =
                    column(head.name(), Map.of("base", "decimal"), "indicated value; empty: no number");
            column.put(UNIT, head.unit().symbol());
            described.add(column);
        }
        described.add(column(
                "quality",
                Map.of("base", "string"),
                "channel=quality of each reading that is not good, by semicolons"));
        Map<String, Object> whole = new LinkedHashMap<>();
        whole.put("@context", "http://www.w3.org/ns/csvw");
        whole.put("url", "samples.csv");
        whole.put("dialect", Map.of("lineTerminators", List.of("\n")));
        whole.put("tableSchema", Map.of("columns", described));
        return Json.page(whole).getBytes(StandardCharsets.UTF_8);
    }

    private static Map<String, Object> column(String title, Map<String, Object> datatype, String description) {
        return Json.ordered("titles", title, "datatype", datatype, "dc:description", description);
    }

    /** Reads what {@link #bytes} wrote; the description of the columns that every record has must be the same. */
    static SamplesMetadata read(byte[] bytes) throws RecordFault {
        List<ColumnHead> columns = new ArrayList<>();
        List<String> stages = List.of();
        try {
            Map<?, ?> schema = (Map<?, ?>) Json.read(bytes).get("tableSchema");
            for (Object each : (List<?>) schema.get("columns")) {
                Map<?, ?> column = (Map<?, ?>) each;
                String title = (String) column.get("titles");
                if (title.equals("stage")) {
                    String format = (String) ((Map<?, ?>) column.get("datatype")).get("format");
                    stages = Arrays.asList(format.split("\\|"));
                } else if (!ColumnHead.FIXED.contains(title)) {
                    Unit unit = Unit.of(String.valueOf(column.get(UNIT)))
                            .orElseThrow(() -> new RecordFault(FILE, "no unit is spelt '" + column.get(UNIT) + "'"));
                    columns.add(new ColumnHead(title, unit));
                }
            }
            SamplesMetadata read = new SamplesMetadata(columns, stages);
            if (Arrays.equals(read.bytes(), bytes)) {
                return read;
            }
        } catch (Json.JsonFault | ClassCastException | NullPointerException | IllegalArgumentException e) {
            throw new RecordFault(FILE, "no description of samples: " + e.getMessage());
        }
        throw new RecordFault(FILE, "the description of samples is not the one that its columns and stages have");
    }
}
