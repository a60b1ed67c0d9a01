#include "line/state.h"

template struct dwell::json::Codec<dwell::line::State>;
