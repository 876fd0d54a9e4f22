package org.plateaubench.audit;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.SortedMap;
import java.util.TreeMap;
import org.plateaubench.record.Finding;
import org.plateaubench.record.Ledger;
import org.plateaubench.record.RecordCheck;
import org.plateaubench.record.RecordFault;

/** The ledger as an audit sees it: read once, then asked about each record. */
final class LedgerView {

    /** Whether there is a ledger that can be relied on. */
    private final boolean usable;

    private final List<Ledger.Line> lines;
    private final int anchoredLines;
    private final SortedMap<String, List<Ledger.Line>> byRecord = new TreeMap<>();

    private LedgerView(boolean usable, List<Ledger.Line> lines, int anchoredLines) {
        this.usable = usable;
        this.lines = lines;
        this.anchoredLines = anchoredLines;
        for (Ledger.Line line : lines) {
            byRecord.computeIfAbsent(line.entry().record(), name -> new ArrayList<>())
                    .add(line);
        }
    }

    /** Reads the ledger of a folder. */
    static LedgerView read(Path recordsFolder, Optional<String> head, List<Finding> findings) {
        Ledger ledger = new Ledger(recordsFolder);
        if (!ledger.exists()) {
            findings.add(RecordCheck.NO_LEDGER.at(Ledger.FILE, "there is none beside the record"));
            head.ifPresent(h -> findings.add(RecordCheck.HEAD_NOT_FOUND.at(Ledger.FILE, "there is no ledger")));
            return new LedgerView(false, List.of(), 0);
        }
        List<Ledger.Line> lines;
        try {
            lines = ledger.read(torn -> findings.add(RecordCheck.LEDGER_UNFINISHED.at(torn.place(), torn.found())));
        } catch (RecordFault e) {
            findings.add(RecordCheck.LEDGER_BROKEN.at(e.place(), e.found()));
            return new LedgerView(false, List.of(), 0);
        } catch (IOException e) {
            findings.add(RecordCheck.LEDGER_BROKEN.at(Ledger.FILE, e.toString()));
            return new LedgerView(false, List.of(), 0);
        }
        int anchored = 0;
        if (head.isEmpty()) {
            findings.add(RecordCheck.NOT_ANCHORED.at(Ledger.FILE, "no earlier head was given"));
        } else {
            anchored = lines.stream()
                    .filter(line -> line.sha256().equals(head.get()))
                    .map(Ledger.Line::number)
                    .findFirst()
                    .orElse(0);
            if (anchored == 0) {
                findings.add(RecordCheck.HEAD_NOT_FOUND.at(Ledger.FILE, "no line of it has the hash " + head.get()));
            }
        }
        return new LedgerView(true, lines, anchored);
    }

    boolean usable() {
        return usable;
    }

    /** What it says of a record, in order. */
    List<Ledger.Line> of(String record) {
        return byRecord.getOrDefault(record, List.of());
    }

    /** Names of all its records. */
    Iterable<String> records() {
        return byRecord.keySet();
    }

    /** Whether a line is among those that the head given stands for. */
    boolean anchored(Ledger.Line line) {
        return line.number() <= anchoredLines;
    }

    Optional<String> head() {
        return lines.isEmpty()
                ? Optional.empty()
                : Optional.of(lines.get(lines.size() - 1).sha256());
    }
}
