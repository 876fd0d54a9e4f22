package org.plateaubench.results;

import java.io.IOException;
import java.util.Optional;
import java.util.stream.IntStream;
import org.plateaubench.equilibrium.BlockMeans;
import org.plateaubench.equilibrium.LongSoak;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.RecordedNight;

/** Judges the record of a commissioning soak: one pass, hours under heat at one speed and one power. */
public final class CommissioningSoak {

    private CommissioningSoak() {}

    /**
     * Judges the first thermal pass of a record.
     *
     * @param files plan, fans and bench file of the record
     * @param night the record
     * @return time constants of the bench, and the lag of its ambient probes beyond that of its coolant probes; empty if
     *     the pass was not done or shows no approach
     * @throws IOException if the record cannot be read
     */
    public static Optional<LongSoak> of(NightFiles files, RecordedNight night) throws IOException {
        JournalScan scan = new JournalScan(night.journal());
        NightColumns columns = NightColumns.of(night, files.bench());
        return scan.firstThermalPass().flatMap(pass -> {
            int to = columns.rowOf(pass.toTick() + 1);
            int soakFrom = columns.rowOf(pass.soakFromTick());
            int from = columns.rowAt(columns.seconds(soakFrom) + DwellAnalysis.FIRST_RESPONSE_SECONDS, soakFrom, to);
            double[] power = columns.relativePower(files.bench().loopTimeConstantSeconds(), from, to);
            double steadyKelvin = IntStream.range((from + to) / 2, to)
                    .mapToDouble(row -> columns.coolant(row) - columns.ambient(row))
                    .filter(rise -> !Double.isNaN(rise))
                    .average()
                    .orElse(Double.NaN);
            BlockMeans soak = new BlockMeans(2);
            for (int row = from; row < to; row++) {
                double ambient = columns.ambient(row);
                // what the load gave more or less than its mean is taken out, as the loop feels it
                double coolant = columns.coolant(row) - steadyKelvin * (power[row] - 1.0);
                if (!Double.isNaN(coolant + ambient)) {
                    soak.add(columns.seconds(row), coolant, ambient);
                }
            }
            return LongSoak.judge(soak);
        });
    }
}
