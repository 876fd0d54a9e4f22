package org.plateaubench.bench.check;

import java.util.List;
import java.util.stream.IntStream;
import org.plateaubench.bench.check.Ticks.LimitReached;
import org.plateaubench.benchfile.ActuatorSpec;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.Readout;

/**
 * An actuator with the speeds that it drives: fan-duty the fans, pump-duty the pump, any other one none that is known.
 *
 * @param actuator the actuator
 * @param speeds names of the tachometer channels; may be empty
 * @param reducedPercent the duty to which it is moved for a check: a little off its safe side, per cent
 * @param fullSpeeds speed of each at the safe duty, rpm
 * @param columns of the speeds in a sample
 */
record Drive(ActuatorSpec actuator, List<String> speeds, double reducedPercent, double[] fullSpeeds, int[] columns) {

    /** A pump is moved less than fans, since its limit may be near. */
    private static final double FAN_STEP_PERCENT = 30.0;

    private static final double PUMP_STEP_PERCENT = 10.0;
    /** Below it a fan may stop. */
    private static final double LEAST_PERCENT = 40.0;
    /** Enough for a heavy fan to come to rest at a speed. */
    private static final int MOST_TICKS = 20;

    private static final int LEAST_TICKS = 4;
    private static final double SETTLED = 0.01;

    static Drive of(BenchFile file, ActuatorSpec actuator, Readout atSafe) {
        boolean fans = actuator.name().equals(BenchFile.FAN_DUTY);
        boolean pump = actuator.name().equals(BenchFile.PUMP_DUTY);
        List<String> speeds = fans
                ? file.group(BenchFile.FANS)
                : pump && file.channel(BenchFile.PUMP).isPresent() ? List.of(BenchFile.PUMP) : List.of();
        int[] columns = speeds.stream().mapToInt(file::indexOf).toArray();
        return new Drive(actuator, speeds, reducedPercent(actuator), valuesOf(columns, atSafe), columns);
    }

    static double reducedPercent(ActuatorSpec actuator) {
        double step = actuator.name().equals(BenchFile.PUMP_DUTY) ? PUMP_STEP_PERCENT : FAN_STEP_PERCENT;
        double safe = actuator.safePercent();
        return safe - step >= LEAST_PERCENT ? safe - step : safe + step;
    }

    private static double[] valuesOf(int[] columns, Readout readout) {
        return IntStream.of(columns).mapToDouble(readout::value).toArray();
    }

    /** {@return speed of each, rpm; NaN without a good reading} */
    double[] speedsAt(Readout readout) {
        return valuesOf(columns, readout);
    }

    /** Reads until the speeds stand still, or long enough; {@return the last reading} */
    Readout settle(Ticks ticks) throws LimitReached {
        Readout before = ticks.next();
        for (int i = 1; i < MOST_TICKS; i++) {
            Readout now = ticks.next();
            if (i >= LEAST_TICKS && still(speedsAt(before), speedsAt(now))) {
                return now;
            }
            before = now;
        }
        return before;
    }

    private static boolean still(double[] before, double[] now) {
        return IntStream.range(0, now.length)
                .noneMatch(i -> Math.abs(now[i] - before[i]) > SETTLED * Math.max(1.0, before[i]));
    }
}
