package org.plateaubench.benchfile;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.plateaubench.benchfile.ModbusRegister.Table;
import org.plateaubench.benchfile.ModbusRegister.Type;

/** Regression tests of registers as bench files write them. */
class ModbusRegisterTest {

    @Test
    void readsWhatABenchFileWrites() {
        assertEquals(
                Optional.of(new ModbusRegister(17, Table.INPUT, 30, Type.INT16, false, 0.1)),
                ModbusRegister.parse("unit 17 input 30 int16 scale 0.1"));
        assertEquals(
                Optional.of(new ModbusRegister(1, Table.HOLDING, 65534, Type.FLOAT32, true, 1.0)),
                ModbusRegister.parse("unit 1 holding 65534 float32 low-word-first"));
    }

    @ParameterizedTest
    @ValueSource(
            strings = {
                "",
                "unit 0 input 30 int16",
                "unit 248 input 30 int16",
                "unit 1 input 65536 int16",
                "unit 1 input 65535 int32",
                "unit 1 input -1 int16",
                "unit 1 coil 3 int16",
                "unit 1 input 30 int8",
                "unit 1 input 30",
                "unit 1 input 30 int16 scale 0",
                "unit 1 input 30 int16 scale 0,1",
                "unit 1 input 30 int16 scale",
                "MEAS:TEMP? (@1)"
            })
    void takesNothingElse(String text) {
        assertEquals(Optional.empty(), ModbusRegister.parse(text));
    }
}
