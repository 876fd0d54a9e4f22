package org.plateaubench.acoustics;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import org.junit.jupiter.api.Test;

class ListenTest {

    private static double[] quiet(int blocks) {
        double[] levels = new double[blocks];
        Arrays.fill(levels, 25.0);
        return levels;
    }

    @Test
    void aGustAndItsNeighboursAreRejected() {
        double[] levels = quiet(20);
        levels[10] = 31.0;
        levels[11] = 27.5;
        boolean[] expected = new boolean[20];
        Arrays.fill(expected, 8, 14, true);
        assertArrayEquals(expected, GustRule.USUAL.rejected(levels));
        Listen listen = Listen.of(100.0, 1.0, levels, GustRule.USUAL);
        assertEquals(25.0, listen.levelDb(), 1e-12);
        assertEquals(25.0, listen.exceeded10Db(), 1e-12);
        assertEquals(14.0, listen.countedSeconds());
        assertEquals(30.0, listen.rejectedPercent());
        assertEquals(110.0, listen.middleSeconds());
        assertTrue(listen.usable());
    }

    @Test
    void aGustAtTheEdgeIsRejectedUpToTheEdge() {
        double[] levels = quiet(6);
        levels[0] = 40.0;
        assertArrayEquals(new boolean[] {true, true, true, false, false, false}, GustRule.USUAL.rejected(levels));
    }

    @Test
    void whatIsWithinTheRiseCounts() {
        double[] levels = quiet(5);
        levels[2] = 27.0;
        assertArrayEquals(new boolean[5], GustRule.USUAL.rejected(levels));
    }

    @Test
    void aListenThatIsMostlyGustsIsWorthNothing() {
        double[] levels = quiet(10);
        levels[1] = 35.0;
        levels[5] = 35.0;
        levels[8] = 35.0;
        Listen listen = Listen.of(0.0, 1.0, levels, GustRule.USUAL);
        assertFalse(listen.usable());
        Listen all = Listen.of(0.0, 1.0, new double[] {25.0, 35.0, 25.0}, GustRule.USUAL);
        assertFalse(all.usable());
        assertTrue(Double.isNaN(all.levelDb()));
        assertThrows(IllegalArgumentException.class, () -> new Bracket(900.0, all, all, all));
    }

    @Test
    void levelsAreAveragedAsEnergies() {
        Listen listen = Listen.of(0.0, 1.0, new double[] {25.0, 26.0, 24.0, 25.0}, GustRule.USUAL);
        assertEquals(Levels.meanDb(25.0, 26.0, 24.0, 25.0), listen.levelDb(), 1e-12);
        assertTrue(listen.levelDb() > 25.0);
        assertEquals(25.0, listen.exceeded50Db(), 1e-12);
    }

    @Test
    void aBracketTakesTheBackgroundStraightInEnergy() {
        Bracket bracket = new Bracket(
                1200.0,
                Listen.of(0.0, 60.0, new double[] {30.0}, GustRule.USUAL),
                Listen.of(60.0, 60.0, new double[] {33.0}, GustRule.USUAL),
                Listen.of(180.0, 60.0, new double[] {30.6}, GustRule.USUAL));
        assertEquals(0.6, bracket.driftDb(), 1e-12);
        double third = Levels.levelDb((2.0 * Levels.energy(30.0) + Levels.energy(30.6)) / 3.0);
        assertEquals(third, bracket.backgroundDb(), 1e-12);
        assertEquals(33.0 - third, bracket.reading().gapDb(), 1e-6);
    }

    @Test
    void refusesWhatIsNoListenRuleOrBracket() {
        assertThrows(IllegalArgumentException.class, () -> Listen.of(0.0, 1.0, new double[0], GustRule.USUAL));
        assertThrows(IllegalArgumentException.class, () -> Listen.of(0.0, 0.0, quiet(3), GustRule.USUAL));
        assertThrows(IllegalArgumentException.class, () -> new GustRule(0.0, 2, 50.0));
        assertThrows(IllegalArgumentException.class, () -> new GustRule(2.0, -1, 50.0));
        assertThrows(IllegalArgumentException.class, () -> new GustRule(2.0, 2, 101.0));
        Listen early = Listen.of(0.0, 1.0, quiet(3), GustRule.USUAL);
        Listen late = Listen.of(10.0, 1.0, quiet(3), GustRule.USUAL);
        Listen last = Listen.of(20.0, 1.0, quiet(3), GustRule.USUAL);
        assertThrows(IllegalArgumentException.class, () -> new Bracket(900.0, late, early, last));
        assertThrows(IllegalArgumentException.class, () -> new Bracket(0.0, early, late, last));
    }
}
