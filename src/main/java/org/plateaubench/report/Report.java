package org.plateaubench.report;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import org.plateaubench.plan.FansFile;
import org.plateaubench.record.TrustFile;
import org.plateaubench.units.Durations;

/**
 * One record as one HTML file that needs nothing else: no script, no font, no picture from elsewhere. It says first what
 * was found and how far it reaches, and last why it may be believed.
 */
public final class Report {

    private final Night night;
    private final ResultSection result;
    private final EvidenceSection evidence;

    private Report(Night night) {
        this.night = night;
        this.result = new ResultSection(night);
        this.evidence = new EvidenceSection(night);
    }

    /**
     * Makes a report. Nothing is written.
     *
     * @param record the record's folder, sealed or not
     * @param trust whom the reader believes
     * @param agent program and version that makes the report
     * @return the page, UTF-8 when written
     * @throws IOException if the record cannot be read, or refuses to be understood
     */
    public static String html(Path record, TrustFile trust, String agent) throws IOException {
        return new Report(Night.read(record, trust)).page(agent);
    }

    private String page(String agent) throws IOException {
        String name =
                night.results().text("title") + ", fan set " + night.results().text("set");
        Html html = Html.page(name, night.simulated());
        html.markup("<header>");
        html.element("h1", name);
        html.element(
                "p",
                "lead",
                "Mount " + night.results().text("mount") + " on "
                        + night.results().text("bench") + ", "
                        + night.day(0) + ", " + night.clock(0) + " to "
                        + night.clock(night.trace().endSeconds()) + " ("
                        + Durations.text(night.trace().endSeconds()) + ")");
        html.markup("</header>\n<main>");
        top(html);
        result.into(html);
        html.heading("night", "The night");
        new NightCharts(night).into(html);
        result.passes(html);
        new SoundSection(night).into(html);
        new FanSection(night).into(html);
        evidence.findings(html);
        evidence.amendments(html);
        evidence.setUp(html);
        evidence.provenance(html, agent);
        cautions(html);
        return html.markup("</main>\n</body>\n</html>").toString();
    }

    private void top(Html html) {
        html.markup("<section class=\"verdict\" aria-label=\"verdict\">");
        html.element("p", "said", night.markBefore() + result.sentence());
        html.element("p", scope());
        Set<String> setAside = night.setAside();
        if (!setAside.isEmpty()) {
            html.element(
                    "p",
                    "Set aside since: " + String.join(", ", setAside)
                            + ". The sentence above counts it still; a table below shows the rises without it.");
        }
        html.element("p", ending());
        html.element("p", night.audit().fails() ? "fails" : "", evidence.verdict());
        html.markup("</section>");
    }

    /** What the numbers are a statement about. */
    private String scope() {
        FansFile fans = night.files().fans();
        return "This is about these fans (" + String.join(", ", fans.specimens())
                + "), mounted once, on this night: between-night variance is not estimated. It says nothing about other"
                + " specimens, another mount or another bench.";
    }

    private String ending() {
        String ending = night.results().text("ending");
        if (ending.equals("complete")) {
            return "The night was complete: " + night.results().text("reason") + ".";
        }
        return "The night was not complete. It "
                + (ending.equals("not ended") ? "has no end in the record" : "ended: " + ending)
                + (night.results().text("reason").isEmpty()
                        ? "."
                        : ", " + night.results().text("reason") + ".");
    }

    private void cautions(Html html) throws IOException {
        html.heading("cautions", "Cautions");
        List<String> cautions = new ArrayList<>();
        if (night.simulated()) {
            cautions.add("The bench is a simulation: never pass any of this for a measurement.");
        }
        if (result.planned()
                && night.results().list("steps").stream().noneMatch(s -> s.has("expanded_uncertainty_K"))) {
            cautions.add("No interval is given for the rises; the spread of the passes alone is none.");
        }
        if (result.anyUnsettled()) {
            cautions.add("At least one pass that counts had not settled when its longest soak was over: its rise may be"
                    + " too low.");
        }
        if (result.planned() && night.files().bench().commissioning().isEmpty()) {
            cautions.add(
                    "The bench was not commissioned: a slow mode of the loop is not excluded, and its remaining rise"
                            + " is not bounded.");
        }
        if (!result.speedDeparture().isEmpty()) {
            cautions.add("Mean speeds depart from their setpoints by up to " + result.speedDeparture()
                    + "; the rises are corrected for it, and the correction is in their budget.");
        }
        if (night.files().fans().sharedTachometerOf().isPresent()) {
            cautions.add("Only one fan's tachometer was seen; that the others turned alike is an assumption.");
        }
        if (result.planned()) {
            cautions.add("Rises at another heat flow or another ambient are not these.");
        }
        cautions.add(
                "A signature proves that the bytes are unchanged since a holder of this key sealed them. Not who that"
                        + " was, not when, not that the program was genuine, not that anything was measured.");
        html.markup("<ul>");
        cautions.forEach(caution -> html.element("li", caution));
        html.markup("</ul>");
    }
}
