package org.plateaubench.results;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import org.plateaubench.uncertainty.Contribution;
import org.plateaubench.uncertainty.PassRise;
import org.plateaubench.uncertainty.SetNight;
import org.plateaubench.uncertainty.StepEstimate;
import org.plateaubench.uncertainty.StepPasses;
import org.plateaubench.uncertainty.Student;

/**
 * The rise of one night over the own level of its fans: a parabola of the logarithm of the rise through the three steps
 * next to a level. A rise goes about with a power of the speed and the level with the logarithm of the speed, so it is
 * nearly straight; half of what the bend makes is taken as the limits of what the parabola errs by.
 */
final class RiseOverLevel {

    /** Steps nearer to each other than this are one place on the curve. */
    static final double APART_DB = 1.0;

    private static final int NEEDED = 3;
    /** A level is within the steps' levels if it is not farther outside than the rounding of levels. */
    private static final double ROUNDING_DB = 0.05;

    /** A step with its own level. */
    private record Node(double levelDb, double standardDb, double riseKelvin, StepPasses step) {
        double logarithm() {
            return StrictMath.log(riseKelvin);
        }
    }

    private final List<Node> nodes;

    private RiseOverLevel(List<Node> nodes) {
        this.nodes = nodes;
    }

    /** The steps of a night whose own level is known and within the speeds listened to. */
    static RiseOverLevel of(ComparedNight night, SetNight alike) {
        List<StepEstimate> estimates = StepEstimate.of(alike.steps(), 0.0);
        List<Node> nodes = new ArrayList<>();
        for (int i = 0; i < estimates.size(); i++) {
            StepPasses step = alike.steps().get(i);
            double rise = estimates.get(i).riseKelvin();
            night.results()
                    .acoustic()
                    .flatMap(a -> a.ownLevel(step.step()))
                    .filter(l -> !l.extrapolated() && Double.isFinite(l.ownLevelExpandedDb()) && rise > 0.0)
                    .ifPresent(l -> nodes.add(new Node(
                            l.ownLevelDb(),
                            l.ownLevelExpandedDb() / Student.factor(StepResult.PROBABILITY, Double.POSITIVE_INFINITY),
                            rise,
                            step)));
        }
        nodes.sort(Comparator.comparingDouble(Node::levelDb));
        return new RiseOverLevel(nodes);
    }

    /** Tells whether there are too few steps for a curve. */
    boolean tooFew() {
        return levels().size() < NEEDED;
    }

    /** The own levels of the steps, upwards, dB; of those that are one place on the curve the lowest. */
    List<Double> levels() {
        List<Double> levels = new ArrayList<>();
        for (Node node : nodes) {
            if (levels.isEmpty() || node.levelDb() - levels.get(levels.size() - 1) >= APART_DB) {
                levels.add(node.levelDb());
            }
        }
        return levels;
    }

    /**
     * The night at a level, as if a step had been there: with the passes of the next step, so that their spread is not made
     * smaller by interpolating.
     *
     * @param levelDb own level, dB
     * @param name name of the step
     * @return the step; empty outside the night's levels, or where there are too few steps
     */
    Optional<StepPasses> at(double levelDb, String name) {
        if (tooFew()
                || levelDb < nodes.get(0).levelDb() - ROUNDING_DB
                || levelDb > nodes.get(nodes.size() - 1).levelDb() + ROUNDING_DB) {
            return Optional.empty();
        }
        List<Node> three = nextThree(levelDb);
        Node a = three.get(0);
        Node b = three.get(1);
        Node c = three.get(2);
        double first = (b.logarithm() - a.logarithm()) / (b.levelDb() - a.levelDb());
        double second =
                ((c.logarithm() - b.logarithm()) / (c.levelDb() - b.levelDb()) - first) / (c.levelDb() - a.levelDb());
        double straight = a.logarithm() + first * (levelDb - a.levelDb());
        double bend = second * (levelDb - a.levelDb()) * (levelDb - b.levelDb());
        double steepness = first + second * (2.0 * levelDb - a.levelDb() - b.levelDb());
        double rise = StrictMath.exp(straight + bend);
        double standardDb = a.standardDb()
                + (b.standardDb() - a.standardDb()) * (levelDb - a.levelDb()) / (b.levelDb() - a.levelDb());
        List<Contribution> systematic = new ArrayList<>(a.step().systematic());
        systematic.removeIf(line -> line.name().equals(StepTable.NOISE_MATCH));
        systematic.add(Contribution.of("own level", StrictMath.abs(rise * steepness * standardDb)));
        systematic.add(Contribution.rectangular("interpolation between steps", 0.5 * rise * StrictMath.abs(bend)));
        double factor = rise / a.riseKelvin();
        List<PassRise> passes =
                a.step().passes().stream().map(p -> p.scaled(factor)).toList();
        return Optional.of(new StepPasses(name, passes, systematic));
    }

    /** The nodes next to a level, nearest first, none at the place of another. */
    private List<Node> nextThree(double levelDb) {
        List<Node> three = new ArrayList<>();
        nodes.stream()
                .sorted(Comparator.comparingDouble(n -> StrictMath.abs(n.levelDb() - levelDb)))
                .filter(n -> three.stream().allMatch(t -> StrictMath.abs(t.levelDb() - n.levelDb()) >= APART_DB))
                .limit(NEEDED)
                .forEach(three::add);
        return three;
    }
}
