package org.plateaubench.cli;

import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.Callable;
import org.plateaubench.audit.AuditReport;
import org.plateaubench.record.Finding;
import org.plateaubench.record.Severity;
import org.plateaubench.record.Statement;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** The lab lead's statement. */
@Command(
        name = "sign-off",
        mixinStandardHelpOptions = true,
        description = {
            "A finding that is accepted stops failing an audit, for everybody who trusts the key. What touches the bytes or"
                    + " the signatures of a record cannot be accepted."
        },
        footer = {"", "Examples:", "  plateau sign-off RECORD \"may be published\" --accept CALIBRATION_OVERDUE"})
final class SignOffCommand implements Callable<Integer> {

    @Mixin
    private Amending amending;

    @Parameters(index = "1", paramLabel = "TEXT", description = "the statement")
    private String text;

    @Option(
            names = "--accept",
            paramLabel = "FINDING",
            description = "a finding of the audit, by its name in capitals, at every place where it stands; may be"
                    + " repeated")
    private List<String> accepted = List.of();

    @Override
    public Integer call() {
        List<Finding> findings = amending.audit().records().get(0).findings().stream()
                .map(AuditReport.Judged::finding)
                .toList();
        List<Statement.Accepted> all = new ArrayList<>();
        for (String code : accepted) {
            List<Statement.Accepted> of = findings.stream()
                    .filter(f -> f.code().equals(code) && f.acceptable())
                    .map(f -> new Statement.Accepted(f.code(), f.place()))
                    .toList();
            if (of.isEmpty()) {
                throw new Refusal(findings.stream()
                                .filter(f -> f.code().equals(code))
                                .findFirst()
                                .map(f -> f.severity() == Severity.FAILURE
                                        ? code + " cannot be accepted: it touches the record's bytes or signatures"
                                        : code + " fails no audit: there is nothing to accept")
                                .orElse("the audit does not find " + code + " in this record")
                        + ". The record is unchanged.");
            }
            all.addAll(of);
        }
        amending.add(new Statement.SignOff(text, all), List.of());
        return Main.DONE;
    }
}
