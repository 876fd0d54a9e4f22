package org.plateaubench.record;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class JsonTest {

    private static byte[] utf8(String text) {
        return text.getBytes(StandardCharsets.UTF_8);
    }

    @Test
    void fieldsKeepTheirOrderAndNumbersTheirDigits() throws Exception {
        Map<String, Object> fields = new LinkedHashMap<>();
        fields.put("zeta", new BigDecimal("0.050"));
        fields.put("alpha", List.of(1L, true, "24 °C\n\"\u0001"));
        fields.put("deep", Map.of("n", 7L));

        String line = Json.line(fields);

        assertEquals("{\"zeta\":0.050,\"alpha\":[1,true,\"24 °C\\n\\\"\\u0001\"],\"deep\":{\"n\":7}}", line);
        assertEquals(fields, Json.read(utf8(line)));
        assertEquals(line, Json.line(Json.read(utf8(Json.page(fields)))));
    }

    @Test
    void binaryFloatingPointAndNullAreRefused() {
        assertThrows(IllegalArgumentException.class, () -> Json.line(Map.of("x", 0.1)));
        Map<String, Object> none = new LinkedHashMap<>();
        none.put("x", null);
        assertThrows(IllegalArgumentException.class, () -> Json.line(none));
    }

    @ParameterizedTest
    @ValueSource(
            strings = {
                "",
                "[]",
                "{} {}",
                "{}x",
                "{\"a\":1,\"a\":2}",
                "{\"a\":null}",
                "{\"a\":1e9}",
                "{\"a\":NaN}",
                "{\"a\":01}",
                "{\"a\":9223372036854775808}",
                "{\"a\":1",
                "{'a':1}",
                "{\"a\":1,}",
                "\uFEFF{}"
            })
    void anythingButOnePlainObjectIsRefused(String text) {
        assertThrows(Json.JsonFault.class, () -> Json.read(utf8(text)));
    }

    @Test
    void nestingIsBounded() {
        assertThrows(Json.JsonFault.class, () -> Json.read(utf8("{\"a\":" + "[".repeat(20_000))));
    }
}
