#include "policy/policy_codec.h"

template struct dwell::json::Codec<dwell::policy::Policy>;
