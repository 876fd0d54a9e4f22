package org.plateaubench.plan;

import org.plateaubench.problem.Document;
import org.plateaubench.problem.ProblemCode;
import org.plateaubench.problem.Problems;
import org.plateaubench.problem.Yaml;
import org.plateaubench.units.Quantity;
import org.plateaubench.units.Unit;

/** Checks that need more than one part of a plan. */
final class PlanChecks {

    private final Plan plan;
    private final Yaml root;
    private final Problems problems;

    private PlanChecks(Plan plan, Yaml root, Problems problems) {
        this.plan = plan;
        this.root = root;
        this.problems = problems;
    }

    static void check(Plan plan, Document document) {
        new PlanChecks(plan, document.root().orElseThrow(), document.problems()).check();
    }

    private void check() {
        for (int i = 0; i < plan.measurements().size(); i++) {
            if (plan.measurements().get(i) instanceof Measurement.Thermal thermal) {
                Yaml soak = root.at("measurements", i, "thermal", "soak", "at-most");
                double shortest = thermal.soak().until().windowSeconds()
                        + thermal.soak().until().forSeconds();
                if (thermal.soak().atMostSeconds() < shortest) {
                    problems.add(
                            soak,
                            ProblemCode.SOAK_TOO_SHORT,
                            "soak may end before its window is full",
                            ((Yaml.Scalar) soak).text(),
                            new Quantity(shortest / 60, Unit.MINUTE) + " or more (window and for)");
                }
            }
        }
    }
}
