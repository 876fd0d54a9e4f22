package org.plateaubench.cli;

import java.io.IOException;
import java.nio.file.Path;
import java.util.LinkedHashMap;
import java.util.Map;
import org.plateaubench.audit.AuditReport;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.RecordFolder;
import org.plateaubench.record.Statement;
import org.plateaubench.results.NightResults;

/** The results of a record with the passes that trusted people set aside, and without them. */
final class SetAsidePasses {

    private SetAsidePasses() {}

    /**
     * Both results.
     *
     * @param record the record's folder
     * @param report what an audit says of it
     * @return both, as text; empty if no pass is set aside, or the record cannot be relied on
     * @throws IOException if it cannot be read
     */
    static String results(Path record, AuditReport.RecordReport report) throws IOException {
        Map<String, String> setAside = new LinkedHashMap<>();
        for (AuditReport.Stated each : report.amendments()) {
            if (each.stands() && each.amendment().statement() instanceof Statement.SetAside aside) {
                setAside.put(aside.pass(), aside.reason());
            }
        }
        if (setAside.isEmpty()) {
            return "";
        }
        RecordFolder folder = RecordFolder.open(record);
        NightFiles files = RetraceCommand.files(folder);
        return "\nwith every pass that was done\n" + ResultsText.text(NightResults.of(files, folder))
                + "\nwithout what was set aside\n" + ResultsText.text(NightResults.of(files, folder, setAside));
    }
}
