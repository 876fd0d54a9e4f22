package org.plateaubench.results;

import java.io.IOException;
import java.util.Optional;
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
            BlockMeans soak = new BlockMeans(2);
            double begin = columns.seconds(columns.rowOf(pass.soakFromTick())) + DwellAnalysis.FIRST_RESPONSE_SECONDS;
            for (int row = columns.rowOf(pass.soakFromTick()); row < columns.rowOf(pass.toTick() + 1); row++) {
                boolean good = !Double.isNaN(columns.coolant(row)) && !Double.isNaN(columns.ambient(row));
                if (columns.seconds(row) >= begin && good) {
                    soak.add(columns.seconds(row), columns.coolant(row), columns.ambient(row));
                }
            }
            return LongSoak.judge(soak);
        });
    }
}
