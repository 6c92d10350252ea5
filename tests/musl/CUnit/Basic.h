#include "CUnit.h"
