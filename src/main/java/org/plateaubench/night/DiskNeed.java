package org.plateaubench.night;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import org.plateaubench.plan.Measurement;
import org.plateaubench.plan.NightEstimate;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.units.Decimals;

/**
 * How much disk the record of a night can need.
 *
 * @param bytes about how many bytes
 */
record DiskNeed(long bytes) {

    /** A row of samples takes about so many bytes for each column, and so many besides. */
    private static final int BYTES_A_COLUMN = 9;

    private static final int BYTES_A_ROW = 70;
    private static final int BYTES_A_LINE = 330;
    /** Journal lines to a row, at the most. */
    private static final double LINES_A_ROW = 0.2;
    /** What a load may write each time that heat is switched on. */
    private static final long BYTES_OF_A_LOAD = 1 << 20;
    /** Spoiled passes are repeated, and a disk is seldom alone. */
    private static final int FACTOR = 2;

    /**
     * What a night needs that was gone through already.
     *
     * @param columns how many columns a row has
     * @param rows how many rows were recorded
     * @param lines how many lines were journalled
     */
    static DiskNeed of(long columns, long rows, long lines) {
        return new DiskNeed(rows * (BYTES_A_ROW + columns * BYTES_A_COLUMN) + lines * BYTES_A_LINE);
    }

    /** What a night can need at the most, as far as the plan tells: nothing settles before its at-most. */
    static DiskNeed of(NightFiles files) {
        double seconds = 0;
        long loads = 1;
        if (files.plan().thermal().isPresent()) {
            Measurement.Thermal thermal = files.plan().thermal().get();
            NightEstimate longest = NightEstimate.longest(files.plan(), thermal);
            seconds = thermal.repeats() * longest.oneBlockNightSeconds(thermal);
            loads += (long) thermal.repeats() * (thermal.steps().size() + 1);
        }
        long rows = Math.round(seconds / files.plan().sampleEverySeconds());
        DiskNeed recorded = of(files.bench().columns().size(), rows, Math.round(rows * LINES_A_ROW));
        return new DiskNeed(FACTOR * (recorded.bytes + loads * BYTES_OF_A_LOAD));
    }

    /**
     * Checks that there is room.
     *
     * @param folder where the record will be; it need not be there yet
     * @throws IOException if there is too little, or it cannot be told
     */
    void requireRoomIn(Path folder) throws IOException {
        Path there = folder.toAbsolutePath();
        while (!Files.exists(there)) {
            there = there.getParent();
        }
        long free = Files.getFileStore(there).getUsableSpace();
        if (free < bytes) {
            throw new IOException("there is too little room for the record in " + folder + ": "
                    + Decimals.fixed(free / 1e6, 1) + " MB are free, the night can need "
                    + Decimals.fixed(bytes / 1e6, 1)
                    + " MB");
        }
    }
}
