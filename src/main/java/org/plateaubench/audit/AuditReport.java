package org.plateaubench.audit;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.plateaubench.record.Amendment;
import org.plateaubench.record.Finding;
import org.plateaubench.record.Json;
import org.plateaubench.record.Severity;
import org.plateaubench.record.Statement;

/**
 * What an audit found.
 *
 * @param records one a record, in the order of their folders' names
 * @param folder findings about the folder and its ledger
 * @param ledgerHead hash of the ledger's last line, to be kept elsewhere; empty if there is no ledger that holds
 */
public record AuditReport(List<RecordReport> records, List<Finding> folder, Optional<String> ledgerHead) {

    /** Copies the lists. */
    public AuditReport {
        records = List.copyOf(records);
        folder = List.copyOf(folder);
    }

    /**
     * A finding, and who accepts it.
     *
     * @param finding the finding
     * @param acceptedBy name of a trusted signer whose sign-off accepts it; then it fails nothing
     */
    public record Judged(Finding finding, Optional<String> acceptedBy) {

        private Severity weight() {
            return acceptedBy.isEmpty() ? finding.severity() : Severity.NOTE;
        }

        /** {@return true if the audit fails for it} */
        public boolean fails() {
            return weight() == Severity.FAILURE;
        }
    }

    /**
     * An amendment, and what it counts for.
     *
     * @param amendment the amendment
     * @param signedBy whose key signed it, or why that is not known
     * @param stands true if its signer is trusted and nobody has withdrawn it; a withdrawal itself never stands
     */
    public record Stated(Amendment amendment, String signedBy, boolean stands) {

        private Map<String, Object> json() {
            Map<String, Object> fields = new LinkedHashMap<>();
            fields.put("number", amendment.number());
            fields.put("kind", amendment.statement().kind());
            fields.putAll(amendment.statement().fields());
            fields.put("by", amendment.by());
            fields.put("signed_by", signedBy);
            fields.put("utc", amendment.utc());
            fields.put("stands", stands);
            fields.put(
                    "attachments",
                    amendment.attachments().stream()
                            .map(Amendment.Attachment::file)
                            .toList());
            return fields;
        }

        private String text() {
            StringBuilder text = new StringBuilder();
            text.append(amendment.number())
                    .append(' ')
                    .append(amendment.statement().kind());
            amendment.statement().fields().forEach((name, value) -> {
                if (!(value instanceof List<?> list && list.isEmpty())) {
                    text.append(", ").append(name).append(": ").append(value);
                }
            });
            text.append("; by ").append(amendment.by()).append(", signed by ").append(signedBy);
            text.append(", ").append(amendment.utc());
            amendment.attachments().forEach(a -> text.append(", with ").append(a.file()));
            boolean withdrawal = amendment.statement() instanceof Statement.Withdrawal;
            return text.append(stands || withdrawal ? "" : "  (does not stand)").toString();
        }
    }

    /**
     * What was found in one record.
     *
     * @param path name of its folder
     * @param name its name
     * @param simulated whether its bench is simulated, if it says so
     * @param sealedBy who sealed it, or why that is not known
     * @param signedOffBy trusted signers of sign-offs that stand
     * @param amendments every amendment that holds, in order
     * @param findings what was found, in the order of the checks
     */
    public record RecordReport(
            String path,
            String name,
            Optional<Boolean> simulated,
            String sealedBy,
            List<String> signedOffBy,
            List<Stated> amendments,
            List<Judged> findings) {

        /** Copies the lists. */
        public RecordReport {
            signedOffBy = List.copyOf(signedOffBy);
            amendments = List.copyOf(amendments);
            findings = List.copyOf(findings);
        }

        /** {@return true if the audit fails for it} */
        public boolean fails() {
            return findings.stream().anyMatch(Judged::fails);
        }

        /** {@return the finding that matters most, the first of several; those that are accepted matter least} */
        public Optional<Judged> worst() {
            Judged worst = null;
            for (Judged each : findings) {
                if (worst == null || each.weight().compareTo(worst.weight()) > 0) {
                    worst = each;
                }
            }
            return Optional.ofNullable(worst);
        }
    }

    /** {@return true if anything fails} */
    public boolean fails() {
        return folder.stream().anyMatch(f -> f.severity() == Severity.FAILURE)
                || records.stream().anyMatch(RecordReport::fails);
    }

    /**
     * The report for people: a line a record, then the ledger, then what to do about each failure and warning; notes too
     * if there is one record only.
     *
     * @return its text; nothing in it controls a terminal
     */
    public String text() {
        StringBuilder text = new StringBuilder();
        int width = records.stream().mapToInt(r -> r.path().length()).max().orElse(0);
        for (RecordReport record : records) {
            text.append(plain(record.path()))
                    .append(" ".repeat(width - record.path().length() + 2))
                    .append(plain(line(record)))
                    .append('\n');
        }
        text.append(ledgerHead.map(head -> "ledger head " + head).orElse("no ledger to rely on"));
        text.append('\n');
        Severity least = records.size() == 1 ? Severity.NOTE : Severity.WARNING;
        for (Finding finding : folder) {
            append(text, "", finding, Optional.empty());
        }
        for (RecordReport record : records) {
            for (Judged judged : record.findings()) {
                if (judged.finding().severity().compareTo(least) >= 0) {
                    append(text, record.path() + ": ", judged.finding(), judged.acceptedBy());
                }
            }
        }
        if (records.size() == 1 && !records.get(0).amendments().isEmpty()) {
            text.append("\namendments\n");
            records.get(0)
                    .amendments()
                    .forEach(
                            each -> text.append("  ").append(plain(each.text())).append('\n'));
        }
        return text.toString();
    }

    private static String line(RecordReport record) {
        List<String> parts = new ArrayList<>();
        Severity worst = record.worst().map(Judged::weight).orElse(Severity.NOTE);
        String what = record.worst()
                .map(j -> j.finding().code() + " " + j.finding().place())
                .orElse("");
        if (worst == Severity.FAILURE) {
            parts.add("FAILS " + what.strip());
        } else {
            parts.add(worst == Severity.WARNING ? "holds, " + what.strip() : "holds");
        }
        parts.add("sealed by " + record.sealedBy());
        parts.add(
                record.signedOffBy().isEmpty()
                        ? "not signed off"
                        : "signed off by " + String.join(", ", record.signedOffBy()));
        if (!record.simulated().equals(Optional.of(false))) {
            parts.add(record.simulated().isPresent() ? "SIMULATED" : "SIMULATED OR NOT: UNKNOWN");
        }
        return String.join(" | ", parts);
    }

    private static void append(StringBuilder text, String record, Finding finding, Optional<String> acceptedBy) {
        text.append('\n')
                .append(plain(record + finding.severity().text() + ": "
                        + (finding.place().isEmpty() ? "" : finding.place() + ": ") + finding.found()))
                .append("  [")
                .append(finding.code())
                .append("]\n");
        acceptedBy.ifPresent(
                name -> text.append("  accepted by ").append(plain(name)).append('\n'));
        text.append("  why it matters: ").append(finding.why()).append('\n');
        text.append("  what to do: ").append(finding.action()).append('\n');
    }

    /** Names and texts come from whoever wrote the record; none of them moves the reader's cursor. */
    private static String plain(String text) {
        StringBuilder plain = new StringBuilder();
        text.codePoints()
                .forEach(c -> plain.appendCodePoint(
                        Character.isISOControl(c) || Character.getType(c) == Character.FORMAT ? '?' : c));
        return plain.toString();
    }

    /** {@return the report for other programs, a JSON object over several lines} */
    public String json() {
        Map<String, Object> whole = new LinkedHashMap<>();
        whole.put("fails", fails());
        ledgerHead.ifPresent(head -> whole.put("ledger_head", head));
        whole.put("folder", folder.stream().map(f -> json(f, Optional.empty())).toList());
        List<Object> list = new ArrayList<>();
        for (RecordReport record : records) {
            Map<String, Object> fields = new LinkedHashMap<>();
            fields.put("path", record.path());
            fields.put("name", record.name());
            fields.put("fails", record.fails());
            record.simulated().ifPresent(simulated -> fields.put("simulated", simulated));
            fields.put("sealed_by", record.sealedBy());
            fields.put("signed_off_by", record.signedOffBy());
            fields.put(
                    "amendments", record.amendments().stream().map(Stated::json).toList());
            fields.put(
                    "findings",
                    record.findings().stream()
                            .map(j -> json(j.finding(), j.acceptedBy()))
                            .toList());
            list.add(fields);
        }
        whole.put("records", list);
        return Json.page(whole);
    }

    private static Map<String, Object> json(Finding finding, Optional<String> acceptedBy) {
        Map<String, Object> fields = new LinkedHashMap<>();
        fields.put("severity", finding.severity().text());
        fields.put("code", finding.code());
        fields.put("place", finding.place());
        fields.put("found", finding.found());
        fields.put("why", finding.why());
        fields.put("action", finding.action());
        acceptedBy.ifPresent(name -> fields.put("accepted_by", name));
        return fields;
    }
}
