package org.plateaubench.report;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Base64;
import java.util.List;
import java.util.Optional;
import org.plateaubench.audit.AuditReport;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.plan.FansFile;
import org.plateaubench.record.Amendment;
import org.plateaubench.record.BagInfo;
import org.plateaubench.record.Finding;
import org.plateaubench.record.Severity;
import org.plateaubench.record.Statement;
import org.plateaubench.record.TrustFile;
import org.plateaubench.units.Decimals;

/** Why the numbers may be believed, and how far: findings, amendments, set-up, provenance. */
final class EvidenceSection {

    /** A picture larger than this is named, not shown: a report must stay a file that can be sent. */
    private static final long LARGEST_PICTURE_BYTES = 4L << 20;

    private final Night night;

    EvidenceSection(Night night) {
        this.night = night;
    }

    /** The audit's verdict in one sentence. */
    String verdict() {
        AuditReport.RecordReport audit = night.audit();
        String signedOff = audit.signedOffBy().isEmpty()
                ? "not signed off"
                : "signed off by " + String.join(", ", audit.signedOffBy());
        if (audit.fails()) {
            return "The record FAILS its audit ("
                    + audit.worst().map(w -> w.finding().code()).orElse("") + "); see the findings. It is " + signedOff
                    + ".";
        }
        return "The record holds: sealed by " + audit.sealedBy() + ", " + signedOff + ".";
    }

    void findings(Html html) {
        html.heading("findings", "Findings");
        List<Fields> measured = night.results().list("findings");
        if (!measured.isEmpty()) {
            html.element("h3", "About what was measured").markup("<ul>");
            for (Fields finding : measured) {
                String about = finding.text("about").isEmpty() ? "" : finding.text("about") + ": ";
                html.element("li", about + finding.text("text"));
            }
            html.markup("</ul>").element("h3", "About the record");
        }
        html.markup("<ul class=\"findings\">");
        for (AuditReport.Judged judged : night.audit().findings()) {
            finding(html, judged.finding(), judged.acceptedBy());
        }
        night.beside().forEach(finding -> finding(html, finding, Optional.empty()));
        html.markup("</ul>");
    }

    private static void finding(Html html, Finding finding, Optional<String> acceptedBy) {
        Severity severity = acceptedBy.isPresent() ? Severity.NOTE : finding.severity();
        html.markup("<li class=\"" + severity.text() + "\"><strong>" + severity.text() + "</strong> "
                + Html.escaped((finding.place().isEmpty() ? "" : finding.place() + ": ") + finding.found())
                + " <code>" + finding.code() + "</code><br>"
                + Html.escaped("Why it matters: " + finding.why() + ". What to do: " + finding.action() + "."
                        + acceptedBy.map(by -> " Accepted by " + by + ".").orElse(""))
                + "</li>");
    }

    void amendments(Html html) throws IOException {
        if (night.amendments().isEmpty()) {
            return;
        }
        html.heading("amendments", "Amendments");
        html.element("p", "Signed additions to the sealed record; the record itself is as it was.");
        for (Amendment amendment : night.amendments()) {
            TrustFile.Standing signer = night.trust().standing(amendment.signer(), amendment.utc());
            html.markup("<article>");
            html.element("h3", amendment.number() + ". " + kind(amendment.statement()));
            html.element("p", said(amendment.statement()));
            html.element(
                    "p",
                    "small",
                    "By " + amendment.by() + ", " + amendment.utc() + ", key "
                            + (signer.verdict() == TrustFile.Verdict.TRUSTED
                                    ? "of " + signer.name()
                                    : amendment.signer().fingerprint() + " that is not trusted"));
            for (Amendment.Attachment attachment : amendment.attachments()) {
                attachment(html, attachment);
            }
            html.markup("</article>");
        }
    }

    private static String kind(Statement statement) {
        return switch (statement.kind()) {
            case "set-aside" -> "A pass set aside";
            case "sign-off" -> "Sign-off";
            case "withdrawal" -> "Withdrawal";
            default -> "Note";
        };
    }

    private static String said(Statement statement) {
        if (statement instanceof Statement.Note note) {
            return note.text();
        } else if (statement instanceof Statement.SetAside aside) {
            return "Pass " + aside.pass() + ": " + aside.reason();
        } else if (statement instanceof Statement.SignOff signOff) {
            List<String> accepted = new ArrayList<>();
            signOff.accepted().forEach(a -> accepted.add((a.code() + " " + a.place()).strip()));
            return signOff.text() + (accepted.isEmpty() ? "" : " Accepts: " + String.join(", ", accepted) + ".");
        }
        Statement.Withdrawal withdrawal = (Statement.Withdrawal) statement;
        return "Takes amendment " + withdrawal.number() + " back: " + withdrawal.reason();
    }

    private void attachment(Html html, Amendment.Attachment attachment) throws IOException {
        Path file = night.folder().folder().resolve(attachment.file());
        long size = Files.size(file);
        if (size <= LARGEST_PICTURE_BYTES) {
            byte[] bytes = Files.readAllBytes(file);
            String type = pictureType(bytes);
            if (!type.isEmpty()) {
                html.markup("<figure class=\"picture\"><img alt=\"" + Html.escaped("attached: " + attachment.name())
                        + "\" src=\"data:" + type + ";base64,"
                        + Base64.getEncoder().encodeToString(bytes) + "\"><figcaption>"
                        + Html.escaped(attachment.name()) + ", SHA-256 <code>" + attachment.sha256()
                        + "</code></figcaption></figure>");
                return;
            }
        }
        html.markup("<p>" + Html.escaped("Attached: " + attachment.name() + ", " + size + " bytes") + ", SHA-256 <code>"
                + attachment.sha256() + "</code></p>");
    }

    /** Kind of a picture by its first bytes (PNG, RFC 2083, section 3.1; JPEG, ITU-T T.81, B.1.1.3); empty for others. */
    private static String pictureType(byte[] bytes) {
        if (begins(bytes, 0x89, 'P', 'N', 'G', 13, 10, 26, 10)) {
            return "image/png";
        }
        return begins(bytes, 0xFF, 0xD8, 0xFF) ? "image/jpeg" : "";
    }

    private static boolean begins(byte[] bytes, int... wanted) {
        boolean begins = bytes.length >= wanted.length;
        for (int i = 0; begins && i < wanted.length; i++) {
            begins = (bytes[i] & 0xFF) == wanted[i];
        }
        return begins;
    }

    /** What was mounted on what, and how it was read. */
    void setUp(Html html) {
        html.heading("set-up", "Set-up");
        FansFile fans = night.files().fans();
        BenchFile bench = night.files().bench();
        List<String[]> facts = new ArrayList<>();
        facts.add(new String[] {"Question of the plan", night.files().plan().purpose()});
        facts.add(new String[] {"Fan set", fans.set() + ": " + String.join(", ", fans.specimens())});
        fans.description().ifPresent(text -> facts.add(new String[] {"Description", text}));
        fans.setting().ifPresent(text -> facts.add(new String[] {"Setting", text}));
        facts.add(new String[] {
            "Mount",
            fans.mount().number()
                    + fans.mount().side().map(s -> ", " + s).orElse("")
                    + fans.mount().screws().map(s -> ", screws " + s).orElse("")
        });
        facts.add(new String[] {
            "Tachometers",
            fans.sharedTachometerOf().isPresent()
                    ? "one seen for " + fans.sharedTachometerOf().getAsInt() + " fans: the others are unseen"
                    : "each fan is seen"
        });
        facts.add(new String[] {"Bench", bench.name()});
        bench.configuration().forEach(fact -> facts.add(new String[] {capital(fact.name()), fact.text()}));
        facts.add(new String[] {
            "Commissioned",
            bench.commissioning()
                    .map(c -> c.measured() + ": time constants "
                            + Decimals.shortest(c.fastTimeConstantSeconds(), 0) + " s and "
                            + Decimals.shortest(c.slowTimeConstantSeconds(), 0) + " s")
                    .orElse("no: a slow mode is not excluded")
        });
        html.facts(facts);
        Html.Table table = new Html.Table("Channels")
                .column("channel")
                .column("device")
                .column("unit")
                .numbers("correction")
                .column("uncertainty")
                .column("calibration");
        for (ChannelSpec channel : bench.channels()) {
            table.row(
                    "",
                    List.of(
                            channel.name(),
                            channel.device(),
                            channel.unit().symbol(),
                            channel.correction() == 0.0 ? Fields.NONE : Decimals.shortest(channel.correction(), 4),
                            channel.uncertainty()
                                    .map(ChannelSpec.Uncertainty::stated)
                                    .orElse("not stated"),
                            channel.calibration()
                                    .map(c -> c.certificate() + ", due " + c.due())
                                    .orElse(Fields.NONE)));
        }
        html.table(table);
    }

    private static String capital(String text) {
        return text.isEmpty() ? text : Character.toUpperCase(text.charAt(0)) + text.substring(1);
    }

    void provenance(Html html, String agent) throws IOException {
        html.heading("provenance", "Provenance");
        BagInfo info = night.folder().info();
        Fields provenance = night.provenance();
        List<String[]> facts = new ArrayList<>();
        facts.add(new String[] {"Record", night.folder().name()});
        facts.add(new String[] {"Opened", night.folder().openedUtc()});
        facts.add(new String[] {"Sealed", or(info.values("Sealed"), "not sealed")});
        facts.add(new String[] {"Sealed by", night.audit().sealedBy()});
        facts.add(new String[] {"Key, fingerprint", or(info.values("Signer-Fingerprint"), "none")});
        facts.add(new String[] {
            "Hash of the tag manifest", night.folder().tagManifestSha256().orElse("none")
        });
        facts.add(new String[] {
            "Ledger head", night.ledgerHead().isEmpty() ? "no ledger beside the record" : night.ledgerHead()
        });
        facts.add(new String[] {
            "Written by",
            or(info.values("Bag-Software-Agent"), "unknown") + ", rules version " + provenance.text("rules")
        });
        facts.add(new String[] {"Run by", provenance.text("by").isEmpty() ? "not stated" : provenance.text("by")});
        facts.add(new String[] {"Attended", provenance.flag("attended") ? "yes" : "no"});
        facts.add(new String[] {"Clock", provenance.text("clock")});
        if (provenance.has("seed")) {
            facts.add(new String[] {"Seed, pace", provenance.text("seed") + ", " + provenance.text("pace")});
        }
        if (provenance.has("replay-of")) {
            Fields first = provenance.object("replay-of");
            facts.add(new String[] {
                "Replay of",
                first.text("record") + ", tag manifest " + first.text("tag_manifest_sha256") + ", signature "
                        + first.text("signature_sha256")
            });
        }
        Fields host = provenance.object("host");
        facts.add(new String[] {
            "Computer",
            host.text("processor") + "; " + host.text("operating-system") + "; Java " + provenance.text("java")
        });
        for (Fields device : provenance.list("devices")) {
            facts.add(new String[] {
                "Device " + device.text("device"),
                (device.text("identity").isEmpty() ? "no identity" : device.text("identity")) + "; "
                        + device.text("where")
            });
        }
        facts.add(new String[] {"This report", agent});
        html.facts(facts.stream().filter(fact -> !fact[1].isEmpty()).toList());
        html.element("p", "Checked without this program, inside the record's folder:");
        html.markup("<pre><code>sha256sum -c manifest-sha256.txt &amp;&amp; sha256sum -c tagmanifest-sha256.txt\n"
                + "openssl pkeyutl -verify -pubin -inkey signature/signer.pem -rawin \\\n"
                + "    -in tagmanifest-sha256.txt -sigfile signature/tagmanifest-sha256.txt.sig</code></pre>");
    }

    private static String or(List<String> values, String otherwise) {
        return values.isEmpty() ? otherwise : values.get(0);
    }
}
